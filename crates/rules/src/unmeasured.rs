//! What no stage could measure, listed so that silence never reads as a pass.

use findings::NotMeasured;
use kit::Part;

use crate::Case;

/// Everything that was not measured on a kit, part by part.
pub fn list(case: &Case) -> Vec<NotMeasured> {
    let mut out = Vec::new();
    for (part, facts) in case.kit.parts.iter().zip(case.parts) {
        if let Some(source) = source_gone(case, part) {
            out.push(NotMeasured {
                part: facts.id.clone(),
                what: "whether its mesh is as new as its CAD file".into(),
                why: format!("{source} was signed off and does not lie here"),
            });
        }
        if let Some(words) = &facts.panicked {
            out.push(NotMeasured {
                part: facts.id.clone(),
                what: "everything after the fault".into(),
                why: words.clone(),
            });
        }
        for (what, why) in facts.soundness.iter().flat_map(crate::mesh::unmeasured) {
            out.push(NotMeasured {
                part: facts.id.clone(),
                what: what.into(),
                why: why.into(),
            });
        }
        if facts.crossings.as_ref().is_some_and(|c| !c.complete) {
            out.push(NotMeasured {
                part: facts.id.clone(),
                what: "every self-intersection".into(),
                why: "too many facets lie in one another's boxes".into(),
            });
        }
        if let Some(why) = crate::mesh::ambiguous::unmeasured(facts) {
            out.push(NotMeasured {
                part: facts.id.clone(),
                what: "whether faults of its mesh show in a layer".into(),
                why: why.into(),
            });
        }
        if let Some(why) = crate::print::wrong_volume(facts) {
            out.push(NotMeasured {
                part: facts.id.clone(),
                what: "its layers, reliably".into(),
                why,
            });
        }
        if let Some(why) = crate::stability::unmeasured(facts) {
            out.push(NotMeasured {
                part: facts.id.clone(),
                what: "how firmly it stands while it grows".into(),
                why: why.into(),
            });
        }
        let layered = facts.print.as_ref().is_some_and(Result::is_ok);
        if layered && facts.panicked.is_none() && facts.orientations.is_none() {
            out.push(NotMeasured {
                part: facts.id.clone(),
                what: "other ways to lay it".into(),
                why: "its surface encloses no volume".into(),
            });
        }
        let walls = facts
            .walls
            .as_ref()
            .and_then(crate::wall::unmeasured::reason);
        if let Some((why, _)) = walls {
            out.push(NotMeasured {
                part: facts.id.clone(),
                what: "walls".into(),
                why,
            });
        }
        if let Some((why, _)) = crate::print::unmeasured::reason(facts) {
            out.push(NotMeasured {
                part: facts.id.clone(),
                what: "layers".into(),
                why,
            });
        }
    }
    out
}

/// The CAD file of a part that was there at sign-off and is not there now.
fn source_gone<'a>(case: &'a Case, part: &'a Part) -> Option<&'a str> {
    let (then, now) = case.signed?.part(&part.id)?;
    let gone = then.source.is_some() && now.source.is_none();
    part.source.as_deref().filter(|_| gone)
}

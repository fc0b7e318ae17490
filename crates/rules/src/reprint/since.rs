//! Since when a finding stands: it is matched to the base by rule, part and nearest place in the part's own frame.

use findings::{Finding, Since};

use crate::Against;
use crate::measures;
use crate::words::mm;

/// Says of every finding whether the base has it.
pub(crate) fn mark(findings: &mut [Finding], against: &Against) {
    let revision = against.kit.revision.to_string();
    for finding in findings {
        let matched = of(finding, against);
        let unit = finding.unit.as_str();
        let value = match matched {
            Some(m) => m.measured,
            None => before(finding, against),
        };
        let shown = |value: f64| {
            if unit == "mm" {
                mm(value)
            } else {
                format!("{} {unit}", crate::words::plain(value))
            }
        };
        let words = match (matched, value) {
            (None, Some(value)) => format!("new: {} in {revision}", shown(value)),
            (None, None) => format!("new: not in {revision}"),
            (Some(_), Some(value)) => format!("in {revision} too: {} there", shown(value)),
            (Some(_), None) => format!("in {revision} too"),
        };
        finding.since = Some(Since {
            new: matched.is_none(),
            base: revision.clone(),
            measured: value,
            words,
        });
    }
}

/// Rules whose value is one of the signed measures, with its name.
const MEASURED: &[(&str, &str)] = &[
    ("bridge.long", "bridge-span"),
    ("first-layer.small", "first-layer-area"),
    ("stability.tips", "tip-angle"),
    ("wall.lost", "min-wall"),
    ("wall.thin", "min-wall"),
];

/// What a new finding is about, as it measured in the base: not a fault there.
fn before(finding: &Finding, against: &Against) -> Option<f64> {
    let [part] = finding.parts.as_slice() else {
        return None;
    };
    let (_, key) = MEASURED.iter().find(|(rule, _)| *rule == finding.rule)?;
    let measure = measures::all().find(|m| m.key == *key)?;
    let facts = against.facts_of(was_called(&part.id, against)?)?;
    let value = (measure.take)(facts).filter(|v| v.is_finite())?;
    // A value no better than the finding's own is that of another place, and says nothing of this one.
    let better = measure.worsened(value, finding.measured?)? > (measure.resolution)();
    (measure.unit == finding.unit && better).then_some(value)
}

/// The finding of the base that is the same one.
fn of<'a>(finding: &Finding, against: &'a Against) -> Option<&'a Finding> {
    let was: Vec<&str> = finding
        .parts
        .iter()
        .map(|p| was_called(&p.id, against))
        .collect::<Option<_>>()?;
    let same = against.verdict.findings.iter().filter(|f| {
        f.rule == finding.rule
            && f.level >= finding.level
            && f.parts
                .iter()
                .map(|p| p.id.as_str())
                .eq(was.iter().copied())
    });
    let Some(place) = finding.places.first() else {
        return same.into_iter().next();
    };
    let near = limits::revisions().same_place.value;
    let onto = finding
        .parts
        .first()
        .and_then(|p| against.compared.pair(&p.id))
        .and_then(|pair| pair.change.as_ref())
        .map(|change| change.onto);
    let apart = |f: &Finding| {
        f.places
            .iter()
            .map(|old| {
                let at = onto.map_or(old.at, |onto| onto.at(old.at));
                let apart = at.iter().zip(place.at).map(|(a, b)| a - b);
                apart.map(|d| d * d).sum::<f64>()
            })
            .fold(f64::INFINITY, f64::min)
    };
    same.map(|f| (apart(f), f))
        .filter(|(d, f)| f.places.is_empty() || *d <= near * near)
        .min_by(|(a, _), (b, _)| a.total_cmp(b))
        .map(|(_, f)| f)
}

/// What a part was called in the base; `None` where it was not there.
fn was_called<'a>(id: &str, against: &'a Against) -> Option<&'a str> {
    against.compared.pair(id)?.was.as_deref()
}

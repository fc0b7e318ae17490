//! What another way to lay a part gains and costs, in plain words, and the line that asks for it.

use measure::orientation::{MM3_PER_CM3, PERCENT, Way};

/// "2.1 cm3 less support, layer lines 0.05 mm lower on show faces, 12 % taller": what differs enough to say, gains
/// before costs; "about the same" where nothing does.
pub fn compared(way: &Way, intended: &Way) -> String {
    let said = [
        plates(way, intended),
        support(way, intended),
        steps(way, intended),
        scars(way, intended),
        strength(way, intended),
        height(way, intended),
        footing(way, intended),
        tipping(way, intended),
    ];
    let said = || said.iter().flatten();
    let gains = said().filter(|s| s.gain);
    let all: Vec<&str> = gains
        .chain(said().filter(|s| !s.gain))
        .map(|s| s.words.as_str())
        .collect();
    if all.is_empty() {
        "about the same".into()
    } else {
        all.join(", ")
    }
}

/// One difference, and whether it speaks for the other way.
struct Difference {
    gain: bool,
    words: String,
}

fn said(gain: bool, words: String) -> Option<Difference> {
    Some(Difference { gain, words })
}

fn plates(way: &Way, intended: &Way) -> Option<Difference> {
    match (way.fits, intended.fits) {
        (true, false) => said(true, "fits every plate".into()),
        (false, true) => said(false, "over a promised plate".into()),
        _ => None,
    }
}

fn support(way: &Way, intended: &Way) -> Option<Difference> {
    let (then, now) = (way.needed_mm3(), intended.needed_mm3());
    match (way.needs_support, intended.needs_support) {
        (false, true) => said(true, format!("no support (now {})", volume(now))),
        (true, false) => said(false, format!("needs {} of support", volume(then))),
        _ if (then - now).abs() < limits::orientation().worse_support.value => None,
        _ => said(
            then < now,
            format!(
                "{} {} support",
                volume((then - now).abs()),
                more(then - now)
            ),
        ),
    }
}

fn steps(way: &Way, intended: &Way) -> Option<Difference> {
    let apart = way.step_mm - intended.step_mm;
    if apart.abs() < limits::orientation().worse_steps.value {
        return None;
    }
    let word = if apart < 0.0 { "lower" } else { "higher" };
    let words = format!("layer lines {:.2} mm {word} on show faces", apart.abs());
    said(apart < 0.0, words)
}

fn scars(way: &Way, intended: &Way) -> Option<Difference> {
    let apart = way.scars_mm2() - intended.scars_mm2();
    if apart.abs() < limits::orientation().worse_scar.value {
        return None;
    }
    let words = format!("{:.0} mm2 {} scars on show faces", apart.abs(), more(apart));
    said(apart < 0.0, words)
}

fn strength(way: &Way, intended: &Way) -> Option<Difference> {
    let least = limits::orientation().worse_section.value;
    let (then, now) = (way.section_mm2?, intended.section_mm2?);
    let word = if then < least * now {
        "weaker"
    } else if now < least * then {
        "stronger"
    } else {
        return None;
    };
    let words = format!("{word} pins: {then:.0} mm2 across layers instead of {now:.0}");
    said(then > now, words)
}

fn height(way: &Way, intended: &Way) -> Option<Difference> {
    let (then, now) = (way.height_mm, intended.height_mm);
    if !differs(then, now) {
        return None;
    }
    let word = if then < now { "lower" } else { "taller" };
    let percent = PERCENT * (then / now - 1.0).abs();
    said(then < now, format!("{percent:.0} % {word}"))
}

fn footing(way: &Way, intended: &Way) -> Option<Difference> {
    let (then, now) = (way.first_layer_mm2, intended.first_layer_mm2);
    let words = format!("{then:.0} mm2 on the plate instead of {now:.0}");
    differs(then, now).then(|| said(then > now, words))?
}

fn tipping(way: &Way, intended: &Way) -> Option<Difference> {
    let least = limits::orientation().worse_tip.value;
    let falls = way.tip_deg < least && way.tip_deg < intended.tip_deg;
    falls.then(|| said(false, format!("tips at {:.0} degrees", way.tip_deg)))?
}

/// Whether a difference is worth a word.
fn differs(then: f64, now: f64) -> bool {
    now > 0.0 && (then / now - 1.0).abs() >= limits::orientation().said_share.value
}

/// Whether most of the first layer is one of the part's own faces: it was made to stand on it.
pub fn on_a_flat(way: &Way) -> bool {
    way.flat_mm2 >= limits::orientation().flat_share.value * way.first_layer_mm2
}

/// The line of the manifest: `up = "-y"`, or a vector where it is no axis.
pub fn up_line(way: &Way) -> String {
    for (axis, name) in ["x", "y", "z"].into_iter().enumerate() {
        if way.up[axis].abs() == 1.0 {
            let sign = if way.up[axis] > 0.0 { "+" } else { "-" };
            return format!("up = \"{sign}{name}\"");
        }
    }
    let [x, y, z] = way.up.map(|v| {
        let text = format!("{v:.6}");
        let text = text.trim_end_matches('0').trim_end_matches('.').to_string();
        if text == "-0" { "0".into() } else { text }
    });
    format!("up = [{x}, {y}, {z}]")
}

fn more(difference: f64) -> &'static str {
    if difference < 0.0 { "less" } else { "more" }
}

/// "2.1 cm3".
pub(crate) fn volume(mm3: f64) -> String {
    format!("{:.1} cm3", mm3 / MM3_PER_CM3)
}

#[cfg(test)]
mod tests {
    use super::*;
    use measure::orientation::Origin;

    fn way(up: [f64; 3]) -> Way {
        Way {
            up,
            origin: Origin::Foot,
            overhang_mm2: 0.0,
            needs_support: false,
            support_mm3: 0.0,
            contact_mm2: 0.0,
            landing_mm2: 0.0,
            scar_mm2: 0.0,
            shown_mm2: 900.0,
            step_mm: 0.02,
            height_mm: 40.0,
            first_layer_mm2: 300.0,
            flat_mm2: 300.0,
            tip_deg: 30.0,
            section_mm2: None,
            fits: true,
        }
    }

    #[test]
    fn gains_are_said_before_costs() {
        let now = Way {
            needs_support: true,
            support_mm3: 2100.0,
            scar_mm2: 80.0,
            ..way([0.0, 0.0, 1.0])
        };
        let then = Way {
            height_mm: 45.0,
            step_mm: 0.07,
            ..way([0.0, 0.0, -1.0])
        };
        assert_eq!(
            compared(&then, &now),
            "no support (now 2.1 cm3), 80 mm2 less scars on show faces, layer lines 0.05 mm higher on show faces, \
             12 % taller"
        );
        assert_eq!(compared(&now, &now), "about the same");
    }

    #[test]
    fn a_direction_is_a_line_that_a_manifest_takes() {
        let half = 0.5f64.sqrt();
        assert_eq!(up_line(&way([0.0, 0.0, -1.0])), "up = \"-z\"");
        let lines = [
            ([0.0, -half, half], "up = [0, -0.707107, 0.707107]"),
            ([-1e-9, 0.6, 0.8], "up = [0, 0.6, 0.8]"),
        ];
        for (up, line) in lines {
            assert_eq!(up_line(&way(up)), line);
            let text = format!(
                "format = 1\nrule-set = \"2026.1\"\n[kit]\nid = \"k\"\ntitle = \"K\"\nrevision = \"1.0.0\"\n\
                 license = \"CC0-1.0\"\n[[promise]]\nid = \"p\"\nplate = [100, 100, 100]\n[settings.body]\n\
                 [defaults]\nunits = \"mm\"\nmaterial = \"pla\"\n[[part]]\nid = \"a\"\nmesh = \"a.stl\"\n{line}\n"
            );
            let kit = kit::read(&text, "kit.toml", &crate::registry::ids()).expect("a kit");
            let read = kit.parts[0].orientation.up;
            assert!((0..3).all(|k| (read[k] - up[k]).abs() < 1e-6), "{read:?}");
        }
    }
}

//! What another way to lay a part gains and costs, in plain words, and the line that asks for it.

use measure::orientation::{MM3_PER_CM3, PERCENT, Way};

/// "2.1 cm3 less support, 12 % taller, layer lines 0.05 mm lower on show faces": what differs enough to say; "the same"
/// where nothing does.
pub fn compared(way: &Way, intended: &Way) -> String {
    let limits = limits::orientation();
    let mut said: Vec<String> = Vec::new();
    if way.fits != intended.fits {
        said.push(
            if way.fits {
                "fits every plate"
            } else {
                "over a promised plate"
            }
            .into(),
        );
    }
    let support = way.needed_mm3() - intended.needed_mm3();
    if way.needs_support != intended.needs_support && !way.needs_support {
        said.push(format!(
            "no support (now {})",
            volume(intended.needed_mm3())
        ));
    } else if support.abs() >= limits.worse_support.value {
        said.push(format!(
            "{} {} support",
            volume(support.abs()),
            more(support)
        ));
    } else if way.needs_support && !intended.needs_support {
        said.push(format!("needs {} of support", volume(way.needed_mm3())));
    }
    let steps = way.step_mm - intended.step_mm;
    if steps.abs() >= limits.worse_steps.value {
        let word = if steps < 0.0 { "lower" } else { "higher" };
        said.push(format!(
            "layer lines {:.2} mm {word} on show faces",
            steps.abs()
        ));
    }
    let scar = way.scar_mm2 - intended.scar_mm2;
    if (way.needs_support || intended.needs_support) && scar.abs() >= limits.worse_scar.value {
        said.push(format!(
            "{:.0} mm2 {} scars on show faces",
            scar.abs(),
            more(scar)
        ));
    }
    if let Some(words) = percent(way.height_mm, intended.height_mm, "taller", "lower") {
        said.push(words);
    }
    if let Some(words) = percent(
        way.first_layer_mm2,
        intended.first_layer_mm2,
        "more on the plate",
        "less on the plate",
    ) {
        said.push(words);
    }
    if way.tip_deg < limits.worse_tip.value && way.tip_deg < intended.tip_deg {
        said.push(format!("tips at {:.0} degrees", way.tip_deg));
    }
    if let (Some(now), Some(then)) = (intended.section_mm2, way.section_mm2) {
        if then < limits.worse_section.value * now {
            said.push(format!(
                "weakest pin {then:.0} mm2 across layers instead of {now:.0}"
            ));
        } else if now < limits.worse_section.value * then {
            said.push(format!(
                "stronger pins: {then:.0} mm2 across layers instead of {now:.0}"
            ));
        }
    }
    if said.is_empty() {
        "about the same".into()
    } else {
        said.join(", ")
    }
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
fn volume(mm3: f64) -> String {
    format!("{:.1} cm3", mm3 / MM3_PER_CM3)
}

/// "12 % taller", where the difference is worth a word.
fn percent(then: f64, now: f64, more: &str, less: &str) -> Option<String> {
    if now <= 0.0 {
        return None;
    }
    let share = then / now - 1.0;
    let percent = PERCENT * share;
    (share.abs() >= limits::orientation().said_share.value).then(|| {
        let word = if percent > 0.0 { more } else { less };
        format!("{:.0} % {word}", percent.abs())
    })
}

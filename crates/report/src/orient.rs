//! Other ways to lay a part, as the terminal shows them: the present one and at most three beside it.

use std::fmt::Write as _;

use kit::Part;
use measure::orientation::{MM3_PER_CM3, Orientations, Way};

/// The table. `pictures` are the names of the pictures of the present way and of those offered, in order.
pub fn orientations_text(part: &Part, found: &Orientations, pictures: &[String]) -> String {
    let mut text = String::new();
    let intended = &found.intended;
    let _ = writeln!(text, "{}: {} orientations tried\n", part.id, found.tried);
    let _ = writeln!(text, "now  {}", rules::orientation::up_line(intended));
    let _ = writeln!(text, "     {}", figures(intended));
    if let Some(why) = &part.up_because {
        let _ = writeln!(text, "     chosen because: {why}");
    }
    picture(&mut text, pictures.first());
    let offered = rules::orientation::offered(found);
    for (k, way) in offered.iter().enumerate() {
        let _ = writeln!(text, "\n{:>3}  {}", k + 1, rules::orientation::up_line(way));
        let said = rules::orientation::compared(way, intended);
        for line in crate::wrap::wrap(&said, 74, 0) {
            let _ = writeln!(text, "     {line}");
        }
        let _ = writeln!(text, "     {}", figures(way));
        if rules::orientation::dominates(way, intended) {
            let _ = writeln!(
                text,
                "     plainly better than the present one, and no worse in anything else"
            );
        }
        picture(&mut text, pictures.get(k + 1));
    }
    if offered.is_empty() {
        text.push_str("\nNo other way to lay it that stands firmly gains anything.\n");
    } else if !offered
        .iter()
        .any(|w| rules::orientation::dominates(w, intended))
    {
        text.push_str("\nNone is plainly better: each gains something and costs something.\n");
    }
    text
}

fn picture(text: &mut String, path: Option<&String>) {
    if let Some(path) = path {
        let _ = writeln!(text, "     {path}");
    }
}

/// What a way costs, in figures.
fn figures(way: &Way) -> String {
    let support = if way.needs_support {
        format!("{:.1} cm3 of support", way.support_mm3 / MM3_PER_CM3)
    } else {
        "no support".into()
    };
    let steps = if way.shown_mm2 > 0.0 {
        format!(", layer lines {:.2} mm on show faces", way.step_mm)
    } else {
        String::new()
    };
    let flat = if rules::orientation::on_a_flat(way) {
        " (a flat)"
    } else {
        ""
    };
    let fits = if way.fits {
        ""
    } else {
        ", over a promised plate"
    };
    format!(
        "{support}{steps}, {:.1} mm tall, {:.0} mm2 on the plate{flat}{fits}",
        way.height_mm, way.first_layer_mm2
    )
}

//! A finding in pictures: where on the part, the place from near, the layer it lies in or the section through it with
//! the measured length; a part's outline on the plate where its size is the matter.

use findings::Finding;
use kit::{Kit, Part};
use measure::PartFacts;
use mesh::Mesh;
use picture::{Plan, Scene, Sights, finding_picture, plan_picture, section_picture};
use report::Figure;

use super::frame::framed;
use super::of_layer::{self, Cuts};

/// Width and height of the whole part and of the place from near, pixels.
const WIDE_PX: [usize; 2] = [480, 380];
const NEAR_PX: [usize; 2] = [480, 380];

/// A second picture shows the place at least so much larger.
const NEARER: f64 = 1.5;

/// Pictures of a finding on a part, at most three.
pub fn figures(
    kit: &Kit,
    part: &Part,
    facts: &PartFacts,
    mesh: &Mesh,
    cuts: Option<&Cuts>,
    sights: Option<&Sights>,
    finding: &Finding,
) -> Vec<Figure> {
    let Some(worst) = finding.places.first() else {
        return plan(kit, facts, finding).into_iter().collect();
    };
    let mut out = Vec::new();
    let mut in_sight = true;
    if let Some(sights) = sights {
        let scene = Scene {
            mesh,
            to_pose: part.orientation.turn,
            ground: None,
            marked: &[],
        };
        if let Some(shot) = finding_picture(&scene, sights, &finding.places, WIDE_PX, NEAR_PX) {
            in_sight = shot.in_sight;
            let hidden = if in_sight {
                ""
            } else {
                "; the place is hidden from outside, its ring is dashed"
            };
            let many = if finding.places_total > 1 {
                "; small rings: the other places"
            } else {
                ""
            };
            let wide = format!("{}: where the worst place is{hidden}{many}", part.id);
            out.extend(
                framed(&shot.wide.image, shot.wide.scale_bar, &wide)
                    .map(|svg| Figure { svg, caption: wide }),
            );
            // Where the fault reaches over most of the part, from near is not nearer.
            if shot.near.view.px_per_mm > NEARER * shot.wide.view.px_per_mm {
                let near = "The worst place from near".to_string();
                out.extend(
                    framed(&shot.near.image, shot.near.scale_bar, &near)
                        .map(|svg| Figure { svg, caption: near }),
                );
            }
        }
    }
    if let Some(layer) = cuts.and_then(|cuts| of_layer::figure(facts, cuts, finding)) {
        out.push(layer);
        return out;
    }
    // A length across material or a gap is read best in a cut, and a hidden place only there.
    let label = worst
        .measured
        .filter(|_| finding.unit == "mm" && worst.along.is_some())
        .map(|m| format!("{m:.2} mm"));
    if (label.is_some() || (sights.is_some() && !in_sight))
        && let Some(cut) = section_picture(
            mesh,
            &part.orientation.turn,
            worst,
            label.as_deref(),
            &finding.id,
        )
    {
        out.push(Figure {
            svg: cut.svg,
            caption: format!("{}; cut material is hatched", cut.words),
        });
    }
    out
}

/// The part's outline on the worst of the plates it is about.
fn plan(kit: &Kit, facts: &PartFacts, finding: &Finding) -> Option<Figure> {
    if !finding.rule.starts_with("size.") {
        return None;
    }
    let size = facts.size.as_ref()?;
    let (promise, on) = facts
        .on_plates
        .iter()
        .filter(|on| finding.promises.contains(&on.promise))
        .filter_map(|on| Some((kit.promise(&on.promise)?, &on.plate)))
        .min_by(|a, b| {
            a.1.best
                .least_slack_mm()
                .total_cmp(&b.1.best.least_slack_mm())
        })?;
    let placed = rules::size::placed(on);
    let svg = plan_picture(
        &Plan {
            outline: &size.shadow,
            plate_mm: [promise.plate_mm[0], promise.plate_mm[1]],
            edge_margin_mm: promise.edge_margin_mm,
            turn_deg: placed.turn_deg,
        },
        &finding.id,
    )?;
    Some(Figure {
        svg,
        caption: format!(
            "The part's outline on the plate of promise {}, turned by {:.1} degrees",
            promise.id, placed.turn_deg
        ),
    })
}

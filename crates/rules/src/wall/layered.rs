//! What a part's layers say of its walls and gaps, and how the two measures become one finding.
//!
//! The surface is measured by balls, in every direction; the layers are measured in their own plane, as they are laid.
//! The law:
//! - A place that is thin along the layers' normal is the surface's alone: no outline shows it.
//! - A place that is thin in the layers' plane stands when any layer near it shows a stretch narrower than the same
//!   limit, however short or tapered, at any height the promise is judged by. It is cleared when layers were
//!   measured there, closed, and none of them shows one: every line it needs is laid.
//! - A place that only the layers show is added when it is a wall and no detail: opposed sides, a width that changes
//!   slowly, over a run of both length and height (two lines to be lost, the run of the rule to be thin or to fuse), and
//!   nothing that the balls found lies near it, nor a feather edge.
//! - Where the layers were not measured, the surface decides alone.

use kit::{Kit, Machine, Part};
use measure::print::lines::{self, Ask as Width, Line, Look, Places as Shown};
use measure::walls::{Ask, Place, Walls};
use mesh::vector::distance;

use super::asked::own;
use super::{Asked, Least, asked};
use crate::PartCase;
use crate::print::on;

/// Everything that is asked of a part's lines; `walls` is what balls found on it.
pub fn asks(kit: &Kit, part: &Part, walls: &Walls) -> lines::Asks {
    let mut out = lines::Asks::default();
    let filament = asked(kit, part)
        .into_iter()
        .filter(|a| matches!(a.promise.machine, Machine::Filament { .. }));
    let push = |list: &mut Vec<Width>, width: Width| {
        if !list.contains(&width) {
            list.push(width);
        }
    };
    let mut own = own(part);
    for a in filament {
        let least = |l: Least| l.ask;
        let thick = [Some(a.lost), a.thin].into_iter().flatten().map(least);
        for ask in thick.chain(own.take()) {
            push(&mut out.widths, width(&ask));
            out.looks.extend(looks(walls.walls(&ask), &ask, false));
        }
        if let Some(gap) = a.gap {
            push(&mut out.gaps, width(&gap));
            out.looks.extend(looks(walls.gaps(&gap), &gap, true));
        }
    }
    let mut looks: Vec<Look> = Vec::new();
    for look in out.looks {
        if !looks.contains(&look) {
            looks.push(look);
        }
    }
    out.looks = looks;
    out.lines = lines(kit, part);
    for line in &out.lines {
        push(&mut out.widths, line.lost);
        push(&mut out.widths, line.thin);
        push(&mut out.gaps, line.fused);
    }
    out
}

/// What is lost, thin and fused with the settings' own line and with that of every promise.
fn lines(kit: &Kit, part: &Part) -> Vec<Line> {
    let limits = limits::walls();
    let settings = kit.settings_of(part);
    let nozzles = kit
        .promises_for(part)
        .into_iter()
        .filter_map(|p| match p.machine {
            Machine::Filament { nozzle_mm, .. } => Some(nozzle_mm),
            Machine::Vat { .. } => None,
        });
    let below = |below_mm: f64, from_mm: f64, steepest: f64| Width {
        below_mm,
        from_mm,
        steepest,
    };
    let steepest = limits.steepest.value;
    std::iter::once(settings.nozzle_mm)
        .chain(nozzles)
        .map(|nozzle_mm| Line {
            bead_mm: settings.bead_on_mm(nozzle_mm),
            lost: below(
                limits.lost_lines.value * nozzle_mm - limits.lost_slack.value,
                0.0,
                steepest,
            ),
            thin: below(
                limits.thin_lines.value * nozzle_mm - limits.thin_slack.value,
                0.0,
                steepest,
            ),
            fused: below(
                limits.gap_fused.value,
                limits.gap_drawn.value,
                limits.gap_steepest.value,
            ),
        })
        .collect()
}

/// A thickness asked of walls, as it is asked of lines.
pub(crate) fn width(ask: &Ask) -> Width {
    Width {
        below_mm: ask.in_plane_mm,
        from_mm: ask.from_mm,
        steepest: ask.steepest,
    }
}

fn looks<'a>(
    places: Option<&'a measure::walls::Places>,
    ask: &'a Ask,
    gap: bool,
) -> impl Iterator<Item = Look> + 'a {
    let list = places.into_iter().flat_map(|p| &p.list);
    list.filter(|p| in_plane(ask, p))
        .map(move |p| look(ask, p, gap))
}

/// Whether the layers' plane and not their normal sets what is needed at a place.
fn in_plane(ask: &Ask, place: &Place) -> bool {
    let upright = Ask {
        in_plane_mm: 0.0,
        ..*ask
    };
    upright.thickness_mm(place.across) < ask.thickness_mm(place.across)
}

/// Where the layers are to be looked at for a place: all around it, as far as it reaches.
fn look(ask: &Ask, place: &Place, gap: bool) -> Look {
    Look {
        at_mm: place.middle(),
        reach_mm: place.extent_mm + place.asked_mm,
        below_mm: ask.in_plane_mm,
        gap,
    }
}

/// Whether the layers let a place stand that the surface shows.
pub(crate) fn stands(case: &PartCase, asked: &Asked, ask: &Ask, place: &Place, gap: bool) -> bool {
    if !in_plane(ask, place) {
        return true;
    }
    let look = look(ask, place, gap);
    let settings = case.case.kit.settings_of(case.part);
    let print = on(case.facts, settings, asked.promise);
    let cleared = |p: &&measure::print::PrintFacts| p.lines.seen(&look) == Some(false);
    print.is_empty() || !print.iter().all(cleared)
}

/// The walls (or gaps) that only the layers show, at least `run_mm` long and high, as places of a wall.
pub(crate) fn added(
    case: &PartCase,
    asked: &Asked,
    ask: &Ask,
    run_mm: f64,
    gap: bool,
) -> Vec<Place> {
    let settings = case.case.kit.settings_of(case.part);
    let Some(walls) = &case.facts.walls else {
        return Vec::new();
    };
    let by_balls = if gap { &walls.gaps } else { &walls.walls };
    if by_balls.iter().any(|p| p.total > p.list.len()) {
        // More places than are kept: what lies near them is not known.
        return Vec::new();
    }
    let mut out: Vec<Place> = Vec::new();
    for print in on(case.facts, settings, asked.promise) {
        let width = width(ask);
        let shown: Option<&Shown> = if gap {
            print.lines.gaps(&width)
        } else {
            print.lines.widths(&width)
        };
        for place in shown.into_iter().flat_map(|s| &s.list) {
            let wall = place.length_mm >= run_mm && place.height_mm >= run_mm;
            let found = by_balls.iter().flat_map(|p| &p.list).any(|p| {
                distance(p.at, place.at_mm) <= p.extent_mm + place.reach_mm() + p.asked_mm
            });
            let feathered = walls.feathers.iter().any(|f| {
                distance(f.at, place.at_mm)
                    <= f.length_mm + f.recedes_mm(asked.bead_mm) + place.reach_mm()
            });
            let again = out
                .iter()
                .any(|p| distance(p.at, place.at_mm) <= p.extent_mm + place.reach_mm());
            if wall && !found && !again && (gap || !feathered) {
                out.push(as_place(ask, place));
            }
        }
    }
    out
}

fn as_place(ask: &Ask, place: &lines::Place) -> Place {
    let [at, opposite] = place.sides();
    Place {
        at,
        opposite,
        outward: place.across,
        across: place.across,
        thickness_mm: place.width_mm,
        asked_mm: ask.in_plane_mm,
        rate: 0.0,
        area_mm2: place.length_mm * place.height_mm,
        extent_mm: place.reach_mm(),
        longest_mm: place.length_mm.max(place.height_mm),
        shortest_mm: place.length_mm.min(place.height_mm),
        proud_mm: None,
    }
}

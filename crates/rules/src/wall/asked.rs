//! What each promise asks of the walls and gaps of a part: the limits as lengths.

use kit::{Kit, Machine, Mode, Part, Promise};
use measure::walls::{Ask, Asks, Place};

/// What one promise asks of a part.
pub(crate) struct Asked<'a> {
    /// The promise.
    pub promise: &'a Promise,
    /// Line width there, mm; from a vat, the thinnest wall that prints.
    pub bead_mm: f64,
    /// Thinner walls are lost.
    pub lost: Least,
    /// Thinner walls are thin; `None` where the process has no such step.
    pub thin: Option<Least>,
    /// Narrower gaps fuse; `None` where no limit is known.
    pub gap: Option<Ask>,
    /// What a width is counted in: "width of a 0.4 mm nozzle".
    pub line: Counted,
    /// What a height is counted in: "layer of 0.28 mm".
    pub layer: Counted,
}

/// A thing that thicknesses are counted in, in words: one of it, and more.
pub(crate) struct Counted {
    one: String,
    more: String,
}

impl Counted {
    fn of(one: &str, more: &str, what: &str) -> Counted {
        Counted {
            one: format!("one {one} of {what}"),
            more: format!("{more} of {what}"),
        }
    }

    /// "one width of a 0.4 mm nozzle", "2 widths of a 0.4 mm nozzle".
    fn times(&self, count: f64) -> String {
        if count == 1.0 {
            self.one.clone()
        } else {
            format!("{count} {}", self.more)
        }
    }
}

impl Asked<'_> {
    /// What is needed at a place, mm, with its words: so many lines or so many layers.
    pub(crate) fn needs(&self, least: &Least, place: &Place) -> (f64, String) {
        let upright = Ask {
            in_plane_mm: 0.0,
            ..least.need
        };
        let needs_mm = least.needs_mm(place);
        let words = if upright.thickness_mm(place.across) < needs_mm {
            self.line.times(least.lines)
        } else {
            self.layer.times(least.layers)
        };
        (needs_mm, words)
    }
}

/// A least thickness.
#[derive(Clone, Copy)]
pub(crate) struct Least {
    /// What is looked for: thinner than needed by more than a rounding.
    pub ask: Ask,
    /// What is needed.
    pub need: Ask,
    /// How many lines that is across the layers' plane.
    lines: f64,
    /// How many layers along their normal.
    layers: f64,
}

impl Least {
    fn new(need: Ask, slack_mm: f64, lines: f64, layers: f64) -> Least {
        let ask = Ask {
            in_plane_mm: need.in_plane_mm - slack_mm,
            upright_mm: need.upright_mm - slack_mm,
            ..need
        };
        Least {
            ask,
            need,
            lines,
            layers,
        }
    }

    /// What is needed at a place, mm.
    pub(crate) fn needs_mm(&self, place: &Place) -> f64 {
        self.need.thickness_mm(place.across)
    }
}

/// What every promise that admits a part asks of it, in the manifest's order.
pub(crate) fn asked<'a>(kit: &'a Kit, part: &Part) -> Vec<Asked<'a>> {
    let promises = kit.promises_for(part);
    promises.into_iter().map(|p| of(kit, part, p)).collect()
}

/// Everything that is to be measured on the walls of a part for the rules to judge it.
pub fn asks(kit: &Kit, part: &Part) -> Asks {
    let limits = limits::walls();
    let asked = asked(kit, part);
    let own = own(part);
    let mut walls: Vec<Ask> = Vec::new();
    let mut gaps: Vec<Ask> = Vec::new();
    for a in &asked {
        for least in [Some(a.lost), a.thin].into_iter().flatten() {
            if !walls.contains(&least.ask) {
                walls.push(least.ask);
            }
        }
        gaps.extend(a.gap.filter(|gap| !gaps.contains(gap)));
    }
    walls.extend(own.filter(|ask| !walls.contains(ask)));
    let settings = kit.settings_of(part);
    let beads = || asked.iter().map(|a| a.bead_mm);
    Asks {
        walls,
        gaps,
        least_bead_mm: beads().reduce(f64::min).unwrap_or(settings.bead_mm),
        most_bead_mm: beads().reduce(f64::max).unwrap_or(settings.bead_mm),
        span_mm: limits.span.value,
        steepest: limits.steepest.value,
        longest_mm: limits.longest.value,
    }
}

/// What a part's own `min-wall` asks, whatever the promise.
pub(super) fn own(part: &Part) -> Option<Ask> {
    let least = part.min_wall_mm?;
    Some(ask(part, least, least, limits::walls().steepest.value, 0.0))
}

fn ask(part: &Part, in_plane_mm: f64, upright_mm: f64, steepest: f64, from_mm: f64) -> Ask {
    Ask {
        up: part.orientation.up,
        in_plane_mm,
        upright_mm,
        steepest,
        from_mm,
    }
}

fn of<'a>(kit: &Kit, part: &Part, promise: &'a Promise) -> Asked<'a> {
    let limits = limits::walls();
    let steepest = limits.steepest.value;
    match promise.machine {
        Machine::Filament {
            nozzle_mm,
            layers_mm: [_, layer_mm],
        } => {
            let settings = kit.settings_of(part);
            let bead_mm = settings.bead_on_mm(nozzle_mm);
            let single = settings.mode == Mode::SingleLine;
            let line_mm = if single { bead_mm } else { nozzle_mm };
            let lost = ask(
                part,
                limits.lost_lines.value * line_mm,
                limits.lost_layers.value * layer_mm,
                steepest,
                0.0,
            );
            let thin = ask(
                part,
                limits.thin_lines.value * nozzle_mm,
                limits.thin_layers.value * layer_mm,
                steepest,
                0.0,
            );
            let gap = ask(
                part,
                limits.gap_fused.value,
                limits.gap_layers.value * layer_mm,
                limits.gap_steepest.value,
                limits.gap_drawn.value,
            );
            let (lost_lines, lost_layers) = (limits.lost_lines.value, limits.lost_layers.value);
            let (thin_lines, thin_layers) = (limits.thin_lines.value, limits.thin_layers.value);
            Asked {
                promise,
                bead_mm,
                lost: Least::new(lost, limits.lost_slack.value, lost_lines, lost_layers),
                // A single line has no second one to lean on: rules of its own judge it.
                thin: (!single)
                    .then(|| Least::new(thin, limits.thin_slack.value, thin_lines, thin_layers)),
                gap: Some(gap),
                line: if single {
                    Counted::of("line", "lines", &format!("{bead_mm} mm"))
                } else {
                    Counted::of("width", "widths", &format!("a {nozzle_mm} mm nozzle"))
                },
                layer: Counted::of("layer", "layers", &format!("{layer_mm} mm")),
            }
        }
        Machine::Vat { least_wall_mm, .. } => {
            let wall = || Counted::of("thinnest wall", "thinnest walls", &promise.id);
            Asked {
                promise,
                bead_mm: least_wall_mm,
                lost: Least::new(
                    ask(part, least_wall_mm, least_wall_mm, steepest, 0.0),
                    limits.lost_slack.value,
                    1.0,
                    1.0,
                ),
                thin: None,
                gap: None,
                line: wall(),
                layer: wall(),
            }
        }
    }
}

//! The narrow regions of one layer, kept for the next one that is the same.

use layers::narrow::{Ask, Region, assign, regions};
use layers::opening::taken;
use layers::outline::{Outline, Segment, Side};
use layers::plain::{plain, same};
use layers::united::united;
use layers::width::{Stretch, Widths};
use layers::{Contour, Layer};

use super::Asks;

/// Stretches of outline are at most this long, mm: a width is followed in such steps.
const STEP_MM: f64 = 0.25;

/// Areas are summed in steps of outline of at most this, mm.
const FINE_MM: f64 = 0.05;

/// The layer decided last.
#[derive(Default)]
pub(super) struct Narrowed {
    contours: Vec<Contour>,
    widths_of: Widths,
    material: Vec<Stretch>,
    gap: Vec<Stretch>,
    /// Narrow material, for each ask.
    pub(super) widths: Vec<Vec<Region>>,
    /// Narrow gaps, for each ask.
    pub(super) gaps: Vec<Vec<Region>>,
}

impl Narrowed {
    /// Decides a layer, or keeps what was decided on one that is the same.
    pub(super) fn take(&mut self, layer: &Layer, asks: &Asks) {
        let contours = plain(&layer.contours);
        if !self.widths.is_empty() && same(&contours, &self.contours) {
            return;
        }
        self.contours = contours;
        let wanted = |gap: bool, asks: &[Ask], looks: &[super::Look]| {
            let looked = looks.iter().filter(|l| l.gap == gap).map(|l| l.below_mm);
            asks.iter()
                .map(|a| a.below_mm)
                .chain(looked)
                .fold(0.0, f64::max)
        };
        let most_mm = wanted(false, &asks.widths, &asks.looks);
        let most_gap_mm = wanted(true, &asks.gaps, &asks.looks);
        let mut whole = contours_of(&self.contours, Side::Material, most_mm);
        narrow(&mut self.widths_of, &whole, most_mm, &mut self.material);
        let mut gaps = contours_of(&self.contours, Side::Gap, most_gap_mm);
        narrow(&mut self.widths_of, &gaps, most_gap_mm, &mut self.gap);
        if self.material.iter().chain(&self.gap).any(|s| s.opposed)
            && let Some(border) = united(&self.contours)
        {
            let turned = |s: &Segment| Segment::new(s.end, s.start);
            let outside = border.iter().filter_map(turned).collect();
            whole = Outline::of(border, most_mm);
            narrow(&mut self.widths_of, &whole, most_mm, &mut self.material);
            gaps = Outline::of(outside, most_gap_mm);
            narrow(&mut self.widths_of, &gaps, most_gap_mm, &mut self.gap);
        }
        let of = |asks: &[Ask], stretches: &[Stretch], outline: &Outline| {
            let each = asks.iter().map(|ask| {
                let mut regions = regions(stretches, ask);
                if !regions.is_empty() {
                    assign(&mut regions, &taken(outline, ask.below_mm, FINE_MM));
                }
                regions
            });
            each.collect()
        };
        self.widths = of(&asks.widths, &self.material, &whole);
        self.gaps = of(&asks.gaps, &self.gap, &gaps);
    }

    /// All narrow stretches of one side.
    pub(super) fn stretches(&self, side: Side) -> &[Stretch] {
        match side {
            Side::Material => &self.material,
            Side::Gap => &self.gap,
        }
    }
}

fn contours_of(contours: &[Contour], side: Side, near_mm: f64) -> Outline {
    Outline::new(contours, side, near_mm.max(STEP_MM))
}

fn narrow(widths: &mut Widths, outline: &Outline, below_mm: f64, out: &mut Vec<Stretch>) {
    out.clear();
    if below_mm > 0.0 {
        widths.narrower(outline, below_mm, STEP_MM, |_, s| out.push(*s));
    }
}

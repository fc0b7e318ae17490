//! The colour scale of measured values: cividis, made to read alike with and without colour blindness, its lightness
//! rising evenly (J. R. Nunez, C. R. Anderton, R. S. Renslow 2018, "Optimizing colormaps with consideration for color
//! vision deficiency to enable accurate interpretation of scientific data", PLoS ONE 13(7), e0199239). Nine of its
//! values stand here, as matplotlib 3.11 gives them; in between they are mixed.

use crate::palette::{INK, PAPER, mix};

/// Colours of the scale at eighths, dark to light, sRGB.
const EIGHTHS: [[u8; 3]; 9] = [
    [0x00, 0x22, 0x4e],
    [0x1a, 0x38, 0x6f],
    [0x43, 0x4e, 0x6c],
    [0x61, 0x65, 0x6f],
    [0x7d, 0x7c, 0x78],
    [0x9b, 0x94, 0x76],
    [0xbc, 0xae, 0x6c],
    [0xde, 0xc9, 0x58],
    [0xfe, 0xe8, 0x38],
];

/// Steps of the scale that a picture shows: few enough to be told apart in the legend.
pub const STEPS: usize = 5;

/// The colour at a place from 0 (dark) to 1 (light).
pub fn colour(at: f64) -> [u8; 3] {
    let x = at.clamp(0.0, 1.0) * (EIGHTHS.len() - 1) as f64;
    let low = (x as usize).min(EIGHTHS.len() - 2);
    mix(EIGHTHS[low], EIGHTHS[low + 1], x - low as f64)
}

/// The colour of a step, from 0: the greatest values are the darkest, so that they stand out on paper.
pub fn step_colour(step: usize) -> [u8; 3] {
    colour(1.0 - step.min(STEPS - 1) as f64 / (STEPS - 1) as f64)
}

/// The step of a value between 0 and `top`.
pub fn step_of(value: f64, top: f64) -> usize {
    if top.is_nan() || top <= 0.0 {
        return 0;
    }
    ((value / top * STEPS as f64) as usize).min(STEPS - 1)
}

/// A colour in the light that falls on it: a tone from 0 (ink) to 1 (paper).
pub(crate) fn lit(base: [u8; 3], tone: f64) -> [u8; 3] {
    // A facet that faces the light has the plain colour.
    const PLAIN: f64 = 0.86;
    if tone <= PLAIN {
        mix(INK, base, tone / PLAIN)
    } else {
        mix(base, PAPER, 0.5 * (tone - PLAIN) / (1.0 - PLAIN))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::palette::luminance;

    #[test]
    fn greater_values_are_darker_in_grey_print_too() {
        let tones: Vec<f64> = (0..STEPS).map(|k| luminance(step_colour(k))).collect();
        assert!(tones.windows(2).all(|w| w[0] > w[1] + 0.02), "{tones:?}");
        assert_eq!(
            (step_of(0.0, 0.2), step_of(0.0799, 0.2), step_of(0.2, 0.2)),
            (0, 1, 4)
        );
        assert_eq!(step_of(1.0, 0.0), 0);
    }
}

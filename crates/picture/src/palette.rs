//! The few colours of every picture: one curve from ink to paper, and one accent.
//!
//! Everything that is drawn is a tone on the curve, whose lightness only rises, so a picture keeps all
//! it says in greyscale print. The accent for marks is the dark blue of P. Tol's high-contrast scheme
//! ("Colour schemes", SRON technical note SRON/EPS/TN/09-002, 2021), which is made to be told apart
//! by colour-blind readers and in grey; marks have a shape and a light rim besides, never colour alone.

/// Tones of the curve that a picture may hold.
pub const TONES: usize = 64;
/// Tones beneath an accent, and strengths of the accent: a small table, as marks are small.
const ACCENT_TONES: usize = 12;
const ACCENT_STRENGTHS: usize = 8;
/// Colours of the whole palette.
pub const COLOURS: usize = TONES + ACCENT_TONES * ACCENT_STRENGTHS;

/// The accent colour, sRGB: #004488.
pub const ACCENT: [u8; 3] = [0x00, 0x44, 0x88];
/// The ink at the dark end of the curve, sRGB.
pub const INK: [u8; 3] = [30, 36, 46];
/// The paper at the light end of the curve, sRGB.
pub const PAPER: [u8; 3] = [252, 252, 250];

/// Stops of the curve: tone from 0 to 1, sRGB. Our own choice: ink, stone, sand, paper.
const CURVE: [(f64, [u8; 3]); 6] = [
    (0.0, INK),
    (0.25, [84, 86, 92]),
    (0.5, [146, 142, 136]),
    (0.75, [202, 196, 185]),
    (0.9, [233, 229, 221]),
    (1.0, PAPER),
];

pub(crate) fn mix(a: [u8; 3], b: [u8; 3], share: f64) -> [u8; 3] {
    [0, 1, 2].map(|k| {
        let v = f64::from(a[k]) + share * (f64::from(b[k]) - f64::from(a[k]));
        libm::round(v).clamp(0.0, 255.0) as u8
    })
}

/// The colour of a tone from 0 (ink) to 1 (paper), sRGB.
pub fn tone_colour(tone: f64) -> [u8; 3] {
    let t = tone.clamp(0.0, 1.0);
    for pair in CURVE.windows(2) {
        let ((from, a), (to, b)) = (pair[0], pair[1]);
        if t <= to {
            return mix(a, b, (t - from) / (to - from));
        }
    }
    PAPER
}

/// A colour as a page writes it, such as #004488.
pub fn hex(colour: [u8; 3]) -> String {
    format!("#{:02x}{:02x}{:02x}", colour[0], colour[1], colour[2])
}

/// The palette, in the order of [`index`].
pub fn palette() -> Vec<[u8; 3]> {
    let tones = (0..TONES).map(|k| tone_colour(k as f64 / (TONES - 1) as f64));
    let accents = (0..ACCENT_TONES * ACCENT_STRENGTHS).map(|k| {
        let tone = (k / ACCENT_STRENGTHS) as f64 / (ACCENT_TONES - 1) as f64;
        let strength = (k % ACCENT_STRENGTHS + 1) as f64 / ACCENT_STRENGTHS as f64;
        mix(tone_colour(tone), ACCENT, strength)
    });
    tones.chain(accents).collect()
}

/// The palette's colour nearest to a tone (0 ink to 255 paper) covered by accent (0 none to 255 all).
#[inline]
pub fn index(tone: u8, accent: u8) -> u8 {
    let rounded = |v: u8, steps: usize| (usize::from(v) * steps + 127) / 255;
    let strength = rounded(accent, ACCENT_STRENGTHS);
    if strength == 0 {
        rounded(tone, TONES - 1) as u8
    } else {
        (TONES + rounded(tone, ACCENT_TONES - 1) * ACCENT_STRENGTHS + strength - 1) as u8
    }
}

/// Relative luminance of an sRGB colour, 0 to 1 (IEC 61966-2-1; WCAG 2.2 uses the same).
pub fn luminance(colour: [u8; 3]) -> f64 {
    let linear = colour.map(|c| {
        let v = f64::from(c) / 255.0;
        if v <= 0.04045 {
            v / 12.92
        } else {
            libm::pow((v + 0.055) / 1.055, 2.4)
        }
    });
    0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lightness_rises_along_the_curve_so_grey_print_keeps_the_order() {
        let tones: Vec<f64> = palette()[..TONES].iter().map(|&c| luminance(c)).collect();
        assert!(tones.windows(2).all(|w| w[0] < w[1]));
    }

    #[test]
    fn accent_and_ink_read_against_paper() {
        // WCAG 2.2, success criterion 1.4.11: at least 3 to 1 for graphics; 1.4.3: 4.5 to 1 for text.
        let contrast = |c| (luminance(PAPER) + 0.05) / (luminance(c) + 0.05);
        assert!(contrast(ACCENT) > 4.5);
        assert!(contrast(INK) > 4.5);
    }

    #[test]
    fn every_index_names_a_colour() {
        assert_eq!(palette().len(), COLOURS);
        for tone in 0..=255 {
            for accent in 0..=255 {
                assert!(usize::from(index(tone, accent)) < COLOURS);
            }
        }
        let colours = palette();
        assert_eq!(colours[usize::from(index(255, 0))], PAPER);
        assert_eq!(colours[usize::from(index(0, 255))], ACCENT);
    }
}

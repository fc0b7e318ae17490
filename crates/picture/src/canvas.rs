//! The picture while it is drawn, and when it is done.

use crate::palette;
use crate::png_bytes;

/// A picture of palette colours.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Image {
    /// Width, pixels.
    pub width_px: usize,
    /// Height, pixels.
    pub height_px: usize,
    /// A palette index a pixel, row by row from the top.
    pub indices: Vec<u8>,
    /// The palette, sRGB.
    pub palette: Vec<[u8; 3]>,
}

impl Image {
    /// The picture as a PNG file (ISO/IEC 15948), with the palette cut to the colours in use.
    ///
    /// # Errors
    /// The words of the encoder; none is known for a picture of this crate.
    pub fn png(&self) -> Result<Vec<u8>, String> {
        png_bytes::encode(self)
    }
}

/// Tone and accent of every pixel: what is still to be drawn on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Canvas {
    /// Width, pixels.
    pub width_px: usize,
    /// Height, pixels.
    pub height_px: usize,
    /// Tone (0 ink, 255 paper) and accent (0 none, 255 all) a pixel, row by row from the top.
    pub pixels: Vec<[u8; 2]>,
}

impl Canvas {
    /// Empty paper.
    pub fn paper(width_px: usize, height_px: usize) -> Canvas {
        Canvas {
            width_px,
            height_px,
            pixels: vec![[255, 0]; width_px * height_px],
        }
    }

    /// Lays a tone over a pixel: `cover` from 0 (nothing) to 1 (all of it). Outside, nothing happens.
    pub fn lay_tone(&mut self, x: i64, y: i64, tone: f64, cover: f64) {
        self.blend(x, y, cover, tone, 0.0);
    }

    /// Lays the accent over a pixel: `cover` from 0 (nothing) to 1 (all of it). Outside, nothing happens.
    pub fn lay_accent(&mut self, x: i64, y: i64, cover: f64) {
        if let Some(pixel) = self.at(x, y) {
            let a = f64::from(pixel[1]) / 255.0;
            pixel[1] = byte(a + cover.clamp(0.0, 1.0) * (1.0 - a));
        }
    }

    fn blend(&mut self, x: i64, y: i64, cover: f64, tone: f64, accent: f64) {
        if let Some(pixel) = self.at(x, y) {
            let c = cover.clamp(0.0, 1.0);
            let [t, a] = pixel.map(|v| f64::from(v) / 255.0);
            *pixel = [byte(t + c * (tone - t)), byte(a + c * (accent - a))];
        }
    }

    fn at(&mut self, x: i64, y: i64) -> Option<&mut [u8; 2]> {
        let (x, y) = (usize::try_from(x).ok()?, usize::try_from(y).ok()?);
        if x >= self.width_px || y >= self.height_px {
            return None;
        }
        self.pixels.get_mut(y * self.width_px + x)
    }

    /// The finished picture.
    pub fn finish(self) -> Image {
        Image {
            width_px: self.width_px,
            height_px: self.height_px,
            indices: self
                .pixels
                .iter()
                .map(|p| palette::index(p[0], p[1]))
                .collect(),
            palette: palette::palette(),
        }
    }
}

/// A share from 0 to 1 as a byte.
#[inline]
pub(crate) fn byte(share: f64) -> u8 {
    (share.clamp(0.0, 1.0) * 255.0 + 0.5) as u8
}

//! The pixels that all layers of a part share.

use super::Raster;

/// The most pixels a grid may have: a raster of them is 64 MB.
pub const MOST_PIXELS: u64 = 1 << 29;

/// Why no grid could be laid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum GridError {
    /// The box or the pixel is no size: not finite, turned inside out, or a pixel of no length.
    NoSize,
    /// More pixels than [`MOST_PIXELS`] would be needed.
    TooLarge {
        /// How many would be needed.
        pixels: f64,
        /// The finest pixel that would do, mm, about.
        pixel_mm: f64,
    },
}

impl std::fmt::Display for GridError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::NoSize => write!(f, "the box to be covered, or the pixel, has no size"),
            Self::TooLarge { pixels, pixel_mm } => write!(
                f,
                "{pixels:.0} pixels would be needed, {MOST_PIXELS} at most are kept: take pixels of {pixel_mm:.3} mm"
            ),
        }
    }
}

impl std::error::Error for GridError {}

/// Square pixels over a part's outline, shared by all its layers, so that successive layers compare bit by bit.
/// The pixel of column `i` and row `j` has its centre at `origin + pixel * (i + 1/2, j + 1/2)`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Grid {
    /// The corner of the first pixel, mm.
    pub origin_mm: [f64; 2],
    /// The side of a pixel, mm.
    pub pixel_mm: f64,
    /// Pixels a row: a multiple of 64, so that no word of a raster is half used.
    pub width: usize,
    /// Rows.
    pub height: usize,
}

impl Grid {
    /// Covers a box with pixels and an empty border of at least `border_mm` (and one pixel) on every side.
    /// A border wider than the largest radius keeps what grows from being cut off.
    ///
    /// The grid is laid from the box's own corner, so a part that is moved gets the same bits.
    ///
    /// # Errors
    /// [`GridError`] where a number is not finite, or more than [`MOST_PIXELS`] would be needed.
    pub fn covering(
        min_mm: [f64; 2],
        max_mm: [f64; 2],
        pixel_mm: f64,
        border_mm: f64,
    ) -> Result<Self, GridError> {
        let [dx, dy] = [max_mm[0] - min_mm[0], max_mm[1] - min_mm[1]];
        let sound = min_mm.iter().chain(&max_mm).all(|v| v.is_finite());
        if !(sound && dx >= 0.0 && dy >= 0.0 && pixel_mm > 0.0 && pixel_mm.is_finite()) {
            return Err(GridError::NoSize);
        }
        if !(border_mm >= 0.0 && border_mm.is_finite()) {
            return Err(GridError::NoSize);
        }
        let border = (border_mm / pixel_mm).ceil() + 1.0;
        let across = |d: f64| (d / pixel_mm).ceil() + 2.0 * border;
        let (width, height) = ((across(dx) / 64.0).ceil() * 64.0, across(dy));
        if width * height > MOST_PIXELS as f64 {
            let finest = pixel_mm * (width * height / MOST_PIXELS as f64).sqrt();
            return Err(GridError::TooLarge {
                pixels: width * height,
                pixel_mm: finest,
            });
        }
        Ok(Self {
            origin_mm: [min_mm[0] - border * pixel_mm, min_mm[1] - border * pixel_mm],
            pixel_mm,
            width: width as usize,
            height: height as usize,
        })
    }

    /// Words a row.
    pub fn words(&self) -> usize {
        self.width / 64
    }

    /// The middle of a pixel, mm.
    pub fn centre_mm(&self, column: usize, row: usize) -> [f64; 2] {
        [
            self.origin_mm[0] + self.pixel_mm * (column as f64 + 0.5),
            self.origin_mm[1] + self.pixel_mm * (row as f64 + 0.5),
        ]
    }

    /// The column and row of the pixel a point lies in; `None` beside the grid.
    pub fn pixel_at(&self, p: [f64; 2]) -> Option<(usize, usize)> {
        let x = (p[0] - self.origin_mm[0]) / self.pixel_mm;
        let y = (p[1] - self.origin_mm[1]) / self.pixel_mm;
        let inside = x >= 0.0 && y >= 0.0 && x < self.width as f64 && y < self.height as f64;
        inside.then_some((x as usize, y as usize))
    }

    /// The area of one pixel, mm2.
    pub fn pixel_mm2(&self) -> f64 {
        self.pixel_mm * self.pixel_mm
    }

    /// A raster without material.
    pub fn blank(&self) -> Raster {
        Raster {
            grid: *self,
            words: vec![0; self.words() * self.height],
        }
    }
}

//! A raster with what the page writes over it: an SVG element that holds the PNG, its scale bar, letters at places
//! and a legend.

use std::fmt::Write as _;

use base64::Engine;
use picture::palette::hex;
use picture::{Image, ScaleBar};

/// Ink of lines and letters over a picture.
const INK: &str = "#1c2430";
/// Height of a row of a legend, in sizes of its letters.
const ROW: f64 = 1.5;

/// A letter at a place of the picture, pixels.
pub struct Letter {
    /// Where.
    pub at_px: [f64; 2],
    /// The letter.
    pub text: String,
}

/// What the letters or colours of a picture mean.
#[derive(Default)]
pub struct Legend {
    /// A line above the rows.
    pub title: String,
    /// Rows, each with a colour where a colour means it.
    pub rows: Vec<(Option<[u8; 3]>, String)>,
}

/// The element; `None` where the picture cannot be encoded. `title` is read out by a screen reader.
pub fn framed(image: &Image, bar: ScaleBar, title: &str) -> Option<String> {
    explained(image, bar, title, &[], &Legend::default())
}

/// The same with letters at places and a legend beneath.
pub fn explained(
    image: &Image,
    bar: ScaleBar,
    title: &str,
    letters: &[Letter],
    legend: &Legend,
) -> Option<String> {
    let png = image.png().ok()?;
    let data = base64::engine::general_purpose::STANDARD.encode(png);
    let (w, h) = (image.width_px, image.height_px);
    let size = (w as f64 / 34.0).max(11.0);
    let (x, y) = (14.0, h as f64 - 14.0);
    let rows = legend.rows.len() + usize::from(!legend.title.is_empty());
    let whole = h as f64
        + if rows > 0 {
            (rows as f64 + 0.6) * ROW * size
        } else {
            0.0
        };
    let mut svg = String::new();
    let _ = write!(
        svg,
        "<svg viewBox=\"0 0 {w} {whole:.0}\" role=\"img\" aria-label=\"{}\">\
         <image width=\"{w}\" height=\"{h}\" href=\"data:image/png;base64,{data}\"/>\
         <path d=\"M{x} {top:.1}V{y:.1}H{end:.1}V{top:.1}\" fill=\"none\" stroke=\"{INK}\" stroke-width=\"1.6\"/>\
         <text x=\"{tx:.1}\" y=\"{ty:.1}\" font-size=\"{size:.1}\" fill=\"{INK}\" font-family=\"sans-serif\">{mm} mm</text>",
        escaped(title),
        top = y - 6.0,
        end = x + bar.length_px,
        tx = x + bar.length_px + 7.0,
        ty = y + 1.0,
        mm = bar.length_mm,
    );
    for letter in letters {
        let _ = write!(
            svg,
            "<text x=\"{:.1}\" y=\"{:.1}\" font-size=\"{:.1}\" font-weight=\"700\" fill=\"{INK}\" stroke=\"#fff\" \
             stroke-width=\"4\" paint-order=\"stroke\" font-family=\"sans-serif\">{}</text>",
            letter.at_px[0] + 18.0,
            letter.at_px[1] - 12.0,
            1.25 * size,
            escaped(&letter.text),
        );
    }
    let mut line = h as f64 + ROW * size;
    if !legend.title.is_empty() {
        write_row(&mut svg, x, line, size, &legend.title);
        line += ROW * size;
    }
    for (colour, words) in &legend.rows {
        let indent = if let Some(colour) = colour {
            let _ = write!(
                svg,
                "<rect x=\"{x}\" y=\"{:.1}\" width=\"{:.1}\" height=\"{size:.1}\" fill=\"{}\" stroke=\"{INK}\"/>",
                line - 0.9 * size,
                2.0 * size,
                hex(*colour),
            );
            2.8 * size
        } else {
            0.0
        };
        write_row(&mut svg, x + indent, line, size, words);
        line += ROW * size;
    }
    svg.push_str("</svg>");
    Some(svg)
}

/// Two elements side by side in one, each `size_px` wide; the higher one gives the height. It names its namespace, so
/// that it is a file of its own as well.
pub fn beside(left: &str, right: &str, title: &str, size_px: [usize; 2]) -> Option<String> {
    let (left, left_height) = opened(left)?;
    let (right, right_height) = opened(right)?;
    let gap = size_px[0] as f64 / 24.0;
    let width = size_px[0] as f64;
    let height = left_height.max(right_height);
    Some(format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {:.0} {height:.0}\" role=\"img\" aria-label=\"{}\">\
         <g>{left}</g><g transform=\"translate({:.0} 0)\">{right}</g></svg>",
        2.0 * width + gap,
        escaped(title),
        width + gap,
    ))
}

/// What an element of this room holds, and its height.
fn opened(svg: &str) -> Option<(&str, f64)> {
    let head = svg.find('>')?;
    let viewed = svg[..head].split("viewBox=\"").nth(1)?;
    let height = viewed.split('"').next()?.rsplit(' ').next()?.parse().ok()?;
    Some((svg[head + 1..].strip_suffix("</svg>")?, height))
}

fn write_row(svg: &mut String, x: f64, y: f64, size: f64, words: &str) {
    let _ = write!(
        svg,
        "<text x=\"{x:.1}\" y=\"{y:.1}\" font-size=\"{size:.1}\" fill=\"{INK}\" font-family=\"sans-serif\">{}</text>",
        escaped(words)
    );
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('"', "&quot;")
}

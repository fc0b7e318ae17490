//! A raster with what the page writes over it: an SVG element that holds the PNG and its scale bar.

use std::fmt::Write as _;

use base64::Engine;
use picture::{Image, ScaleBar};

/// Ink of lines and letters over a picture.
const INK: &str = "#1c2430";

/// The element; `None` where the picture cannot be encoded. `title` is read out by a screen reader.
pub fn framed(image: &Image, bar: ScaleBar, title: &str) -> Option<String> {
    let png = image.png().ok()?;
    let data = base64::engine::general_purpose::STANDARD.encode(png);
    let (w, h) = (image.width_px, image.height_px);
    let size = (w as f64 / 34.0).max(11.0);
    let (x, y) = (14.0, h as f64 - 14.0);
    let mut svg = String::new();
    let _ = write!(
        svg,
        "<svg viewBox=\"0 0 {w} {h}\" role=\"img\" aria-label=\"{}\">\
         <image width=\"{w}\" height=\"{h}\" href=\"data:image/png;base64,{data}\"/>\
         <path d=\"M{x} {top:.1}V{y:.1}H{end:.1}V{top:.1}\" fill=\"none\" stroke=\"{INK}\" stroke-width=\"1.6\"/>\
         <text x=\"{tx:.1}\" y=\"{ty:.1}\" font-size=\"{size:.1}\" fill=\"{INK}\" font-family=\"sans-serif\">{mm} mm</text></svg>",
        escaped(title),
        top = y - 6.0,
        end = x + bar.length_px,
        tx = x + bar.length_px + 7.0,
        ty = y + 1.0,
        mm = bar.length_mm,
    );
    Some(svg)
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('"', "&quot;")
}

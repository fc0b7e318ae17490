//! A picture as the bytes of a PNG file: palette, fixed settings, nothing that names a time or a tool.

use crate::canvas::Image;

/// Writes a palette PNG whose palette holds the colours in use, in their order; where at most 16 are in
/// use, two pixels share a byte, and so on (ISO/IEC 15948, 11.2.2).
pub(crate) fn encode(image: &Image) -> Result<Vec<u8>, String> {
    let mut used = [false; 256];
    for &i in &image.indices {
        used[usize::from(i)] = true;
    }
    let mut place = [0u8; 256];
    let mut colours = Vec::new();
    for (i, _) in used.iter().enumerate().filter(|(_, used)| **used) {
        place[i] = (colours.len() / 3) as u8;
        colours.extend(image.palette.get(i).copied().unwrap_or_default());
    }
    let (depth, bits) = match colours.len() / 3 {
        0..=2 => (png::BitDepth::One, 1),
        3..=4 => (png::BitDepth::Two, 2),
        5..=16 => (png::BitDepth::Four, 4),
        _ => (png::BitDepth::Eight, 8),
    };
    let mut rows = Vec::with_capacity(image.indices.len());
    for row in image.indices.chunks(image.width_px.max(1)) {
        for group in row.chunks(8 / bits) {
            let mut packed = 0u8;
            for (k, &i) in group.iter().enumerate() {
                packed |= place[usize::from(i)] << (8 - bits * (k + 1));
            }
            rows.push(packed);
        }
    }
    let mut bytes = Vec::new();
    let (width, height) = (image.width_px as u32, image.height_px as u32);
    let mut encoder = png::Encoder::new(&mut bytes, width, height);
    encoder.set_color(png::ColorType::Indexed);
    encoder.set_depth(depth);
    encoder.set_palette(colours);
    encoder.set_compression(png::Compression::Balanced);
    // Palette numbers have no arithmetic: a filter only hurts them (ISO/IEC 15948, 12.7).
    encoder.set_filter(png::Filter::NoFilter);
    let mut writer = encoder.write_header().map_err(|e| e.to_string())?;
    writer.write_image_data(&rows).map_err(|e| e.to_string())?;
    writer.finish().map_err(|e| e.to_string())?;
    Ok(bytes)
}

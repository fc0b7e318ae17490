//! Shades a mesh as a drawing: flat facets in soft light, ink lines, the plate beneath.

use mesh::Mesh;
use mesh::vector::{Vec3, dot, unit};

use crate::camera::{Rotation, ScaleBar, View, from_pose, pose_direction, posed_box};
use crate::canvas::{Canvas, Image, byte};
use crate::ground::{Ground, SeenGround};
use crate::ink::{self, Facing, Ink};
use crate::raster::{self, NOTHING, Seen};
use crate::shadow;

/// Samples along a pixel's side.
pub(crate) const SAMPLES: usize = 3;
/// Normals further apart than this draw an edge between facets, degrees.
const CREASE_DEG: f64 = 25.0;
/// Where the light comes from, in the frame of the view: right, up, toward the eye.
const LIGHT: Vec3 = [-0.42, 0.62, 0.66];
/// How much a full shadow darkens the plate.
const SHADOW: f64 = 0.13;
const CHUNK: usize = 1 << 14;
/// Pixel rows a piece of work.
const ROWS: usize = 16;
/// Strengths of lines, 0 none to 1 all ink.
const OUTLINE_INK: f64 = 0.92;
const CREASE_INK: f64 = 0.62;
/// Stripes on marked facets and on facets seen from inside: period and width along a row, samples.
const MARK_STRIPES: [usize; 2] = [21, 8];
const INSIDE_STRIPES: [usize; 2] = [18, 5];

/// What is to be shown.
#[derive(Clone, Copy)]
pub struct Scene<'a> {
    /// The mesh, mm.
    pub mesh: &'a Mesh,
    /// Mesh frame to print pose: which way is up.
    pub to_pose: Rotation,
    /// The plate beneath, if it is to be drawn.
    pub ground: Option<Ground>,
    /// Facets to hatch, by number.
    pub marked: &'a [u32],
}

/// A part in its print pose, with what a page needs to label it.
#[derive(Debug, Clone, PartialEq)]
pub struct PartPicture {
    /// The picture.
    pub image: Image,
    /// The view it was taken with: projects places to pixels.
    pub view: View,
    /// A scale bar for the picture plane.
    pub scale_bar: ScaleBar,
}

/// The direction of the three-quarter view, print pose: from the front, a little to the right, above.
pub(crate) fn three_quarter(to_pose: &Rotation) -> Vec3 {
    from_pose(to_pose, pose_direction(-58.0, 28.0))
}

/// The picture of a part in its print pose, in three-quarter view, on the middle of a plate of
/// `plate_mm` (x, y), filling `size_px` (width, height). A mesh without facets gives empty paper.
pub fn part_picture(
    mesh: &Mesh,
    to_pose: &Rotation,
    plate_mm: Option<[f64; 2]>,
    size_px: [usize; 2],
) -> PartPicture {
    let up = from_pose(to_pose, [0.0, 0.0, 1.0]);
    let blank = View::from_direction(three_quarter(to_pose), up, size_px[0], size_px[1]);
    let Some((posed, corners)) = posed_box(mesh, to_pose) else {
        return PartPicture {
            image: Canvas::paper(blank.width_px, blank.height_px).finish(),
            scale_bar: blank.scale_bar(0.2),
            view: blank,
        };
    };
    let ground = plate_mm.map(|plate| Ground::beneath(&posed, to_pose, plate));
    let mut shown = silhouette_box(mesh, &blank).unwrap_or_else(|| corners.to_vec());
    shown.extend(ground.iter().flat_map(Ground::corners));
    let view = blank.aimed_at(&shown, 0.045);
    let scene = Scene {
        mesh,
        to_pose: *to_pose,
        ground,
        marked: &[],
    };
    PartPicture {
        image: render(&scene, &view).finish(),
        view,
        scale_bar: view.scale_bar(0.2),
    }
}

/// Two points, mesh frame, whose box along the axes of a view is that of all vertices.
pub(crate) fn silhouette_box(mesh: &Mesh, view: &View) -> Option<Vec<Vec3>> {
    let pieces = parallel::chunks(mesh.vertices.len(), CHUNK, |range| {
        mesh::Bounds::of(
            mesh.vertices[range]
                .iter()
                .map(|&v| view.axes(mesh::vector::wide(v))),
        )
    });
    let b = mesh::Bounds::of(pieces.into_iter().flatten().flat_map(|b| [b.min, b.max]))?;
    let back = |c: Vec3| {
        [0, 1, 2].map(|k| c[0] * view.right[k] + c[1] * view.up[k] + c[2] * view.toward[k])
    };
    Some(vec![back(b.min), back(b.max)])
}

/// Draws a scene; marks may still be laid over the result. The same bytes with any number of threads.
pub fn render(scene: &Scene, view: &View) -> Canvas {
    let seen = raster::look(scene.mesh, view, SAMPLES);
    paint(scene, view, &seen)
}

pub(crate) fn paint(scene: &Scene, view: &View, seen: &Seen) -> Canvas {
    let facing = facings(scene, view);
    let mm_per_sample = (1.0 / (view.px_per_mm * seen.per_px as f64)) as f32;
    let crease_cos = libm::cos(CREASE_DEG.to_radians()) as f32;
    let lines = ink::lines(seen, &facing, crease_cos, mm_per_sample);
    let up = from_pose(&scene.to_pose, [0.0, 0.0, 1.0]);
    let ground = scene.ground.as_ref().and_then(|g| g.seen(view));
    let shadow = match (&scene.ground, &ground) {
        (Some(plate), Some(_)) => shadow::on_ground(scene.mesh, plate, view, up),
        _ => Vec::new(),
    };
    let painter = Painter {
        shadow: &shadow,
        width: view.width_px,
        seen,
        facing: &facing,
        lines: &lines,
        ground,
        light: unit(LIGHT).unwrap_or([0.0, 0.0, 1.0]),
        sky: view.axes(up),
    };
    let mut canvas = Canvas::paper(view.width_px, view.height_px);
    let width = view.width_px;
    parallel::fill(&mut canvas.pixels, width * ROWS, |first, slice| {
        for (k, pixel) in slice.iter_mut().enumerate() {
            let at = first + k;
            *pixel = painter.pixel(at % width, at / width);
        }
    });
    canvas
}

fn facings(scene: &Scene, view: &View) -> Vec<Facing> {
    let mesh = scene.mesh;
    let blank = Facing {
        normal: [0.0, 0.0, 1.0],
        marked: false,
    };
    let mut facing = vec![blank; mesh.triangles.len()];
    parallel::fill(&mut facing, CHUNK, |first, slice| {
        for (k, f) in slice.iter_mut().enumerate() {
            if let Some(n) = mesh.normal(first + k) {
                f.normal = view.axes(n).map(|c| c as f32);
            }
        }
    });
    for &t in scene.marked {
        if let Some(f) = facing.get_mut(t as usize) {
            f.marked = true;
        }
    }
    facing
}

struct Painter<'a> {
    seen: &'a Seen,
    facing: &'a [Facing],
    lines: &'a Ink,
    ground: Option<SeenGround>,
    /// How deep in shadow the ground lies, a pixel each: 0 not, 255 wholly; empty without a ground.
    shadow: &'a [u8],
    width: usize,
    light: Vec3,
    sky: Vec3,
}

impl Painter<'_> {
    fn pixel(&self, x: usize, y: usize) -> [u8; 2] {
        let n = self.seen.per_px;
        let (sx, sy) = (x * n, y * n);
        let first = self.seen.facets(sy)[sx];
        let plain = (sy..sy + n).all(|sy| self.lines.busy.run(sx, sy, n) == 0);
        let beneath = |painter: &Self| match painter.ground.as_ref().and_then(|g| g.tone(x, y)) {
            Some(tone) => {
                let dark = painter.shadow.get(y * painter.width + x).copied();
                tone * (1.0 - SHADOW * f64::from(dark.unwrap_or(0)) / 255.0)
            }
            None => 1.0,
        };
        if plain && first == NOTHING {
            return [byte(beneath(self)), 0];
        }
        if plain {
            let f = &self.facing[first as usize];
            if !f.marked && f.normal[2] >= 0.0 {
                return [byte(self.tone(f)), 0];
            }
        }
        let ground = beneath(self);
        let (mut tone, mut accent) = (0.0, 0.0);
        for j in 0..n {
            let of = [&self.lines.outline, &self.lines.crease, &self.lines.border];
            let inked = of.map(|bits| bits.run(sx, sy + j, n));
            for i in 0..n {
                let facet = self.seen.facets(sy + j)[sx + i];
                let bit = |k: usize| inked[k] >> i & 1 == 1;
                let (t, a) = self.sample(facet, sx + i, sy + j, ground);
                let (t, a) = if bit(2) {
                    (t, 1.0)
                } else if bit(0) {
                    (t * (1.0 - OUTLINE_INK), a)
                } else if bit(1) {
                    (t * (1.0 - CREASE_INK), a)
                } else {
                    (t, a)
                };
                tone += t;
                accent += a;
            }
        }
        let count = (n * n) as f64;
        [byte(tone / count), byte(accent / count)]
    }

    fn sample(&self, facet: u32, x: usize, y: usize, ground: f64) -> (f64, f64) {
        if facet == NOTHING {
            return (ground, 0.0);
        }
        let f = &self.facing[facet as usize];
        let tone = self.tone(f);
        let [period, width] = MARK_STRIPES;
        if f.marked {
            return (tone, if (x + y) % period < width { 1.0 } else { 0.0 });
        }
        let [period, width] = INSIDE_STRIPES;
        if f.normal[2] < 0.0 && (x + period * y - y) % period < width {
            return (0.3 * tone, 0.0);
        }
        (tone, 0.0)
    }

    /// Soft light from the sky and the ground, and a lamp over the left shoulder.
    #[inline]
    fn tone(&self, f: &Facing) -> f64 {
        let mut n = f.normal.map(f64::from);
        let inside = n[2] < 0.0;
        if inside {
            n = n.map(|c| -c);
        }
        let lamp = dot(n, self.light).max(0.0);
        let sky = 0.5 + 0.5 * dot(n, self.sky);
        let tone = 0.30 + 0.36 * lamp + 0.20 * sky + 0.06 * n[2];
        if inside { 0.85 * tone } else { tone }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::palette::{PAPER, luminance};
    use std::f64::consts::PI;

    const AS_MODELLED: Rotation = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

    /// A ball by parallels and meridians, outward.
    fn ball(radius: f64, rings: u32, at: Vec3) -> Mesh {
        let around = 2 * rings;
        let mut vertices = vec![
            [at[0], at[1], at[2] + radius],
            [at[0], at[1], at[2] - radius],
        ];
        for i in 1..rings {
            for j in 0..around {
                let (a, b) = (
                    PI * f64::from(i) / f64::from(rings),
                    2.0 * PI * f64::from(j) / f64::from(around),
                );
                let s = radius * libm::sin(a);
                vertices.push([
                    at[0] + s * libm::cos(b),
                    at[1] + s * libm::sin(b),
                    at[2] + radius * libm::cos(a),
                ]);
            }
        }
        let id = |i: u32, j: u32| match i {
            0 => 0,
            _ if i == rings => 1,
            _ => 2 + (i - 1) * around + j % around,
        };
        let mut triangles = Vec::new();
        for i in 0..rings {
            for j in 0..around {
                let (a, b, c, d) = (id(i, j), id(i + 1, j), id(i + 1, j + 1), id(i, j + 1));
                if i + 1 < rings {
                    triangles.push([a, b, c]);
                }
                if i > 0 {
                    triangles.push([a, c, d]);
                }
            }
        }
        Mesh::new(
            vertices.into_iter().map(|v| v.map(|c| c as f32)).collect(),
            triangles,
        )
    }

    fn bare(mesh: &Mesh) -> Scene<'_> {
        Scene {
            mesh,
            to_pose: AS_MODELLED,
            ground: None,
            marked: &[],
        }
    }

    #[test]
    fn a_ball_covers_the_disc_that_geometry_says() {
        // The shadow of a ball of radius r is a disc of area pi r^2 (Archimedes).
        let mesh = ball(10.0, 90, [3.0, -4.0, 5.0]);
        for toward in [[0.0, 0.0, 1.0], [1.0, -2.0, 1.0], [-3.0, 1.0, -2.0]] {
            let view = View::from_direction(toward, [0.0, 0.0, 1.0], 320, 240)
                .zoomed([3.0, -4.0, 5.0], 24.0);
            let seen = raster::look(&mesh, &view, 3);
            let count = (0..seen.height)
                .flat_map(|y| seen.facets(y))
                .filter(|&&f| f != NOTHING)
                .count();
            let mm = 1.0 / (view.px_per_mm * 3.0);
            let area = count as f64 * mm * mm;
            assert!((area / (100.0 * PI) - 1.0).abs() < 0.01, "{area}");
            // The nearest point is the ball's own pole towards the eye.
            let middle = seen.at(seen.width / 2, seen.height / 2).depth;
            assert!((f64::from(middle) - 10.0).abs() < 0.02, "{middle}");
        }
    }

    #[test]
    fn the_bytes_are_the_same_with_any_number_of_threads() {
        let mesh = ball(30.0, 40, [0.0; 3]);
        let draw = |threads| {
            parallel::with_threads(threads, || {
                let picture = part_picture(&mesh, &AS_MODELLED, Some([220.0, 220.0]), [320, 240]);
                picture.image.png().expect("it encodes")
            })
            .expect("threads start")
        };
        let one = draw(1);
        assert_eq!(one, draw(2));
        assert_eq!(one, draw(8));
        assert!(one.len() < 25_000, "{}", one.len());
    }

    #[test]
    fn nothing_to_show_is_empty_paper_and_odd_meshes_are_drawn_without_complaint() {
        let paper = |mesh: &Mesh| {
            let p = part_picture(mesh, &AS_MODELLED, Some([220.0, 220.0]), [64, 48]);
            assert_eq!(p.image.indices.len(), 64 * 48);
            assert!(p.image.png().expect("it encodes").len() > 50);
            let paper = p.image.palette.iter().position(|&c| c == PAPER);
            p.image
                .indices
                .iter()
                .all(|&i| Some(usize::from(i)) == paper)
        };
        assert!(paper(&Mesh::default()));
        let dot = Mesh::new(vec![[1.0; 3]; 3], vec![[0, 1, 2]]);
        paper(&dot);
        let one = vec![[0.0, 0.0, 0.0], [10.0, 0.0, 0.0], [0.0, 10.0, 0.0]];
        assert!(!paper(&Mesh::new(one.clone(), vec![[0, 1, 2]])));
        assert!(!paper(&Mesh::new(one, vec![[0, 2, 1]])), "seen from inside");
        let line = vec![[0.0; 3], [5.0, 5.0, 5.0], [9.0, 9.0, 9.0]];
        paper(&Mesh::new(line, vec![[0, 1, 2]]));
        let far = vec![[3e38, 0.0, 0.0], [0.0, 3e38, 0.0], [-3e38, -3e38, 3e38]];
        paper(&Mesh::new(far, vec![[0, 1, 2]]));
        let mut off = ball(5.0, 8, [0.0; 3]);
        for v in &mut off.vertices {
            v[0] += 1e7;
        }
        paper(&off);
    }

    #[test]
    fn a_close_view_into_a_large_facet_is_filled() {
        // Corners a million pixels outside the picture are cut off, not lost.
        let plane = Mesh::new(
            vec![[-1e6, -1e6, 0.0], [1e6, -1e6, 0.0], [0.0, 1e6, 0.0]],
            vec![[0, 1, 2]],
        );
        let view = View::from_direction([0.0, 0.0, 1.0], [0.0, 1.0, 0.0], 40, 30)
            .zoomed([10.0, 20.0, 0.0], 0.5);
        let seen = raster::look(&plane, &view, 2);
        assert!((0..60).all(|y| seen.facets(y).iter().all(|&f| f == 0)));
    }

    #[test]
    fn a_marked_facet_is_hatched_and_a_facet_seen_from_inside_too() {
        let up = vec![[-90.0, -90.0, 0.0], [90.0, -90.0, 0.0], [0.0, 90.0, 0.0]];
        let view =
            View::from_direction([0.0, 0.0, 1.0], [0.0, 1.0, 0.0], 60, 60).zoomed([0.0; 3], 8.0);
        let tones = |mesh: &Mesh, marked: &[u32]| {
            let scene = Scene {
                marked,
                ..bare(mesh)
            };
            let image = render(&scene, &view).finish();
            let mut grey: Vec<u8> = image.indices.clone();
            grey.sort_unstable();
            grey.dedup();
            grey.iter()
                .map(|&i| luminance(image.palette[usize::from(i)]))
                .fold((1.0f64, 0.0f64), |(l, h), v| (l.min(v), h.max(v)))
        };
        let (low, high) = tones(&Mesh::new(up.clone(), vec![[0, 1, 2]]), &[]);
        assert_eq!(low, high, "one flat facet, one tone");
        let (low, high) = tones(&Mesh::new(up.clone(), vec![[0, 1, 2]]), &[0, 77]);
        assert!((high + 0.05) / (low + 0.05) > 3.0, "WCAG 2.2, 1.4.11");
        let (low, high) = tones(&Mesh::new(up, vec![[0, 2, 1]]), &[]);
        assert!((high + 0.05) / (low + 0.05) > 2.0);
    }
}

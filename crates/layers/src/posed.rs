//! A mesh in its print pose: turned, and set down so that its lowest vertex is at z = 0.

use mesh::Mesh;
use mesh::vector::{Vec3, wide};

/// A rotation by rows; it acts on column vectors.
pub type Turn = [[f64; 3]; 3];

/// A mesh as it stands on the plate. x and y keep the turned mesh's origin.
#[derive(Debug, Clone)]
pub struct Posed<'a> {
    /// The mesh in its own frame.
    pub mesh: &'a Mesh,
    /// Its vertices in the pose, mm, one for each of the mesh's.
    pub points: Vec<Vec3>,
    /// Height of the highest vertex, mm; 0 for a mesh without vertices.
    pub height_mm: f64,
    turn: Turn,
    /// z of the lowest vertex after turning, mm.
    floor: f64,
}

/// Vertices a chunk.
const CHUNK: usize = 1 << 14;

impl<'a> Posed<'a> {
    /// Turns the mesh and sets it down. A rotation is expected: its rows one long and square to each other.
    pub fn new(mesh: &'a Mesh, turn: &Turn) -> Posed<'a> {
        let turn = *turn;
        let mut points = vec![[0.0; 3]; mesh.vertices.len()];
        parallel::fill(&mut points, CHUNK, |first, out| {
            let own = &mesh.vertices[first..first + out.len()];
            for (point, &vertex) in out.iter_mut().zip(own) {
                *point = apply(&turn, wide(vertex));
            }
        });
        let (floor, top) = points.iter().fold((f64::MAX, f64::MIN), |(low, high), p| {
            (low.min(p[2]), high.max(p[2]))
        });
        let floor = if points.is_empty() { 0.0 } else { floor };
        parallel::fill(&mut points, CHUNK, |_, out| {
            for p in out {
                p[2] -= floor;
            }
        });
        Posed {
            mesh,
            height_mm: if points.is_empty() { 0.0 } else { top - floor },
            points,
            turn,
            floor,
        }
    }

    /// The rotation it was turned by.
    pub fn turn(&self) -> &Turn {
        &self.turn
    }

    /// A place of the pose in the mesh's own frame, mm.
    pub fn to_mesh(&self, place: Vec3) -> Vec3 {
        let [x, y, z] = [place[0], place[1], place[2] + self.floor];
        // The inverse of a rotation is its transpose.
        [0, 1, 2].map(|k| self.turn[0][k] * x + self.turn[1][k] * y + self.turn[2][k] * z)
    }

    /// A place of the mesh's own frame in the pose, mm.
    pub fn to_pose(&self, place: Vec3) -> Vec3 {
        let [x, y, z] = apply(&self.turn, place);
        [x, y, z - self.floor]
    }

    /// The three corners of a triangle in the pose, mm.
    #[inline]
    pub fn corners(&self, triangle: usize) -> [Vec3; 3] {
        self.mesh.triangles[triangle].map(|v| self.points[v as usize])
    }
}

#[inline]
fn apply(turn: &Turn, p: Vec3) -> Vec3 {
    turn.map(|row| row[0] * p[0] + row[1] * p[1] + row[2] * p[2])
}

#[cfg(test)]
mod tests {
    use super::*;
    use mesh::shapes::{cuboid, welded};

    #[test]
    fn a_box_laid_on_its_side_stands_on_the_plate() {
        let mesh = welded(&cuboid([5.0, -3.0, 7.0], [15.0, 17.0, 37.0]));
        // +x becomes up.
        let turn = [[0.0, 0.0, -1.0], [0.0, 1.0, 0.0], [1.0, 0.0, 0.0]];
        let posed = Posed::new(&mesh, &turn);
        assert_eq!(posed.height_mm, 10.0);
        let lowest = posed.points.iter().fold(f64::MAX, |z, p| z.min(p[2]));
        assert_eq!(lowest, 0.0);
        for (p, &v) in posed.points.iter().zip(&mesh.vertices) {
            assert_eq!(posed.to_mesh(*p), wide(v));
            assert_eq!(posed.to_pose(wide(v)), *p);
        }
    }

    #[test]
    fn a_mesh_without_vertices_has_no_height() {
        let mesh = Mesh::default();
        let posed = Posed::new(&mesh, &[[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]);
        assert_eq!(posed.height_mm, 0.0);
    }
}

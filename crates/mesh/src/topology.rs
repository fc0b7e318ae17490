//! Edges, shells, fans and winding of one mesh, found together and shared by every pass that asks for them.

use crate::edges::Edges;
use crate::fans::Fans;
use crate::shape::Mesh;
use crate::shells::Shells;
use crate::turned::Winding;

/// How a mesh hangs together.
#[derive(Debug, Clone, PartialEq)]
pub struct Topology {
    /// Edges and the partner of every half-edge.
    pub edges: Edges,
    /// Shells, and the mass properties of the whole.
    pub shells: Shells,
    /// Fans about the vertices.
    pub fans: Fans,
    /// Turned facets and one-sided shells.
    pub winding: Winding,
}

impl Topology {
    /// Finds it all. Triangles must name three different vertices each (see [`mod@crate::weld`]).
    pub fn build(mesh: &Mesh) -> Topology {
        let edges = Edges::build(mesh);
        let shells = Shells::build(mesh, &edges);
        let fans = Fans::build(mesh, &edges, &shells);
        let winding = Winding::build(mesh, &edges, &shells);
        Topology {
            edges,
            shells,
            fans,
            winding,
        }
    }

    /// Edges of one shell: pairs of partners, and half-edges without one.
    pub fn edges_of_shell(&self, shell: usize) -> usize {
        let s = &self.shells.list[shell];
        (3 * s.triangles + s.loose) / 2
    }

    /// V - E + F of one shell, a vertex counted once for each fan of the shell: 2 - 2 genus where it is closed and
    /// has two sides (Euler-Poincare).
    pub fn euler_of_shell(&self, shell: usize) -> i64 {
        let (v, e) = (self.fans.of_shell[shell], self.edges_of_shell(shell));
        v as i64 - e as i64 + self.shells.list[shell].triangles as i64
    }

    /// The genus of a closed shell with two sides; `None` for others.
    pub fn genus_of_shell(&self, shell: usize) -> Option<usize> {
        let closed = self.shells.list[shell].closed();
        if !closed || self.winding.one_sided.contains(&(shell as u32)) {
            return None;
        }
        usize::try_from((2 - self.euler_of_shell(shell)) / 2).ok()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shapes::{Soup, cuboid, moved, torus, unit_cube, welded};

    #[test]
    fn genus_of_known_shapes() {
        let tetrahedron: Soup = {
            let (o, x, y, z) = ([0.0; 3], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]);
            vec![[o, y, x], [o, x, z], [o, z, y], [x, y, z]]
        };
        let mut two = torus(64, 32, 20.0, 5.0);
        two.extend(unit_cube());
        let mut corner = unit_cube();
        corner.extend(moved(&unit_cube(), [1.0; 3]));
        for (name, soup, want) in [
            ("tetrahedron", tetrahedron, vec![(2, Some(0))]),
            ("cube", unit_cube(), vec![(2, Some(0))]),
            ("torus", torus(64, 32, 20.0, 5.0), vec![(0, Some(1))]),
            ("torus and cube", two, vec![(0, Some(1)), (2, Some(0))]),
            // Fans are counted apart, so the vertex they share does not spoil either.
            (
                "two cubes at a vertex",
                corner,
                vec![(2, Some(0)), (2, Some(0))],
            ),
        ] {
            let mesh = welded(&soup);
            let topology = Topology::build(&mesh);
            let got: Vec<_> = (0..topology.shells.list.len())
                .map(|s| (topology.euler_of_shell(s), topology.genus_of_shell(s)))
                .collect();
            assert_eq!(got, want, "{name}");
        }
    }

    #[test]
    fn an_open_shell_has_an_euler_number_and_no_genus() {
        let mut soup = cuboid([0.0; 3], [1.0; 3]);
        soup.pop();
        let mesh = welded(&soup);
        let topology = Topology::build(&mesh);
        assert_eq!(topology.euler_of_shell(0), 1); // V 8, E 18, F 11
        assert_eq!(topology.genus_of_shell(0), None);
    }
}

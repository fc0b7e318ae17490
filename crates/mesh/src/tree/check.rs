//! The promises of a tree, checked; tests run it on every tree they build.

use super::Tree;
use super::node::{Box32, LEAF, VACANT, WIDTH};
use crate::shape::Mesh;

impl Tree {
    /// Every broken promise of the tree over its mesh, in words; empty when sound: each triangle stands
    /// in one leaf, leaves and triangles are in order, boxes are exact, lanes repeat the mesh's numbers.
    pub fn check(&self, mesh: &Mesh) -> Vec<String> {
        let mut broken = mesh.check();
        if !broken.is_empty() {
            return broken;
        }
        let mut next_triangle = 0u32;
        for (number, leaf) in self.leaves.iter().enumerate() {
            if leaf.first != next_triangle || leaf.count == 0 || leaf.count as usize > WIDTH {
                broken.push(format!(
                    "leaf {number} holds {} triangles from {}",
                    leaf.count, leaf.first
                ));
                return broken;
            }
            next_triangle += leaf.count;
            if next_triangle as usize > mesh.triangles.len() {
                broken.push(format!("leaf {number} reaches beyond the mesh"));
                return broken;
            }
            for lane in 0..leaf.count as usize {
                if leaf.corners(lane) != mesh.corners(leaf.first as usize + lane) {
                    broken.push(format!("lane {lane} of leaf {number} is not its triangle"));
                }
            }
        }
        if next_triangle as usize != mesh.triangles.len() {
            broken.push(format!(
                "{next_triangle} of {} triangles stand in leaves",
                mesh.triangles.len()
            ));
        }
        let mut next_leaf = 0;
        let mut next_node = 0;
        self.check_node(0, &mut next_node, &mut next_leaf, &mut broken);
        if next_leaf as usize != self.leaves.len() || next_node as usize != self.nodes.len() {
            broken.push(format!(
                "{next_node} of {} nodes and {next_leaf} of {} leaves hang in the tree",
                self.nodes.len(),
                self.leaves.len()
            ));
        }
        broken
    }

    fn check_node(
        &self,
        number: u32,
        next_node: &mut u32,
        next_leaf: &mut u32,
        broken: &mut Vec<String>,
    ) -> Box32 {
        let mut whole = Box32::EMPTY;
        if number != *next_node || number as usize >= self.nodes.len() {
            broken.push(format!("node {number} stands where {next_node} belongs"));
            return whole;
        }
        *next_node += 1;
        let node = &self.nodes[number as usize];
        for lane in 0..WIDTH {
            let child = node.child[lane];
            let bounds = if child == VACANT {
                Box32::EMPTY
            } else if child & LEAF != 0 {
                if child & !LEAF != *next_leaf || *next_leaf as usize >= self.leaves.len() {
                    broken.push(format!(
                        "leaf {} stands where {next_leaf} belongs",
                        child & !LEAF
                    ));
                    return whole;
                }
                *next_leaf += 1;
                self.leaves[*next_leaf as usize - 1].bounds()
            } else {
                self.check_node(child, next_node, next_leaf, broken)
            };
            if bounds != node.lane_box(lane) {
                broken.push(format!(
                    "child {lane} of node {number} does not fill its box"
                ));
            }
            if child != VACANT && node.last_leaf[lane] + 1 != *next_leaf {
                broken.push(format!(
                    "child {lane} of node {number} ends at another leaf"
                ));
            }
            whole.join(&bounds);
        }
        whole
    }
}

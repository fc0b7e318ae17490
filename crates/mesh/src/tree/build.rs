//! From triangles to nodes: runs are split until eight children stand under a node and eight triangles in
//! a leaf. Work is split between threads by the input alone, so the tree is the same with any number.

use super::node::{LEAF, Node, WIDTH};
use super::split::{Item, Run};
use crate::shape::Mesh;

/// Above this many triangles the children of a node are built in parallel.
const ALONE: usize = 8192;

/// The shape of a tree, before the mesh is renumbered.
pub(super) struct Plan {
    pub nodes: Vec<Node>,
    /// First triangle and count of each leaf, in the new order.
    pub leaves: Vec<(u32, u32)>,
    /// The old number of each new triangle.
    pub order: Vec<u32>,
}

/// Plans the tree of a mesh.
pub(super) fn plan(mesh: &Mesh) -> Plan {
    let mut items = vec![
        Item {
            min: [0.0; 3],
            id: 0,
            max: [0.0; 3],
        };
        mesh.triangles.len()
    ];
    parallel::fill(&mut items, 1 << 14, |start, slice| {
        for (offset, item) in slice.iter_mut().enumerate() {
            let id = start + offset;
            let [a, b, c] = mesh.triangles[id].map(|v| mesh.vertices[v as usize]);
            *item = Item {
                min: [0, 1, 2].map(|k| a[k].min(b[k]).min(c[k])),
                id: id as u32,
                max: [0, 1, 2].map(|k| a[k].max(b[k]).max(c[k])),
            };
        }
    });
    let mut grown = Grown {
        nodes: Vec::new(),
        leaves: Vec::new(),
    };
    if items.is_empty() {
        grown.nodes.push(Node::vacant());
    } else {
        grown.node(Run::whole(&mut items));
    }
    Plan {
        nodes: grown.nodes,
        leaves: grown.leaves,
        order: items.iter().map(|item| item.id).collect(),
    }
}

/// A subtree; numbers count from its own beginning.
struct Grown {
    nodes: Vec<Node>,
    leaves: Vec<(u32, u32)>,
}

impl Grown {
    /// Adds a node over a run and everything below it; gives its number.
    fn node(&mut self, run: Run<'_>) -> u32 {
        let number = self.nodes.len();
        let large = run.items.len() > ALONE;
        let children = if large { eighths(run) } else { greedy(run) };
        let mut node = Node::vacant();
        for (lane, child) in children.iter().enumerate() {
            node.set_box(lane, &child.bounds);
        }
        self.nodes.push(node);
        if large {
            let grown = each(children, &|child| {
                let mut alone = Grown {
                    nodes: Vec::new(),
                    leaves: Vec::new(),
                };
                let at = alone.child(child);
                (alone, at)
            });
            for (lane, (below, at)) in grown.into_iter().enumerate() {
                let at = self.graft(below, at);
                self.hang(number, lane, at);
            }
        } else {
            for (lane, child) in children.into_iter().enumerate() {
                let at = self.child(child);
                self.hang(number, lane, at);
            }
        }
        number as u32
    }

    fn child(&mut self, run: Run<'_>) -> u32 {
        if run.items.len() <= WIDTH {
            self.leaves.push((run.first, run.items.len() as u32));
            LEAF | (self.leaves.len() - 1) as u32
        } else {
            self.node(run)
        }
    }

    fn hang(&mut self, number: usize, lane: usize, at: u32) {
        self.nodes[number].child[lane] = at;
        self.nodes[number].last_leaf[lane] = self.leaves.len() as u32 - 1;
    }

    /// Appends a subtree that counts from its own beginning; gives the new number of its top.
    fn graft(&mut self, below: Grown, top: u32) -> u32 {
        let node_shift = self.nodes.len() as u32;
        let leaf_shift = self.leaves.len() as u32;
        let shifted = |child: u32| {
            if child & LEAF != 0 {
                child + leaf_shift
            } else {
                child + node_shift
            }
        };
        for mut node in below.nodes {
            for lane in 0..WIDTH {
                if node.child[lane] != super::node::VACANT {
                    node.child[lane] = shifted(node.child[lane]);
                    node.last_leaf[lane] += leaf_shift;
                }
            }
            self.nodes.push(node);
        }
        self.leaves.extend(below.leaves);
        shifted(top)
    }
}

/// Up to eight runs, the one with the largest box split first; they stay in order.
fn greedy(run: Run<'_>) -> Vec<Run<'_>> {
    let mut runs = Vec::with_capacity(WIDTH);
    runs.push(run);
    while runs.len() < WIDTH {
        let mut widest: Option<(usize, f32)> = None;
        for (at, run) in runs.iter().enumerate() {
            let area = run.bounds.half_area();
            if run.items.len() > WIDTH && widest.is_none_or(|(_, most)| area > most) {
                widest = Some((at, area));
            }
        }
        let Some((at, _)) = widest else { break };
        let (left, right) = runs.remove(at).split();
        runs.insert(at, right);
        runs.insert(at, left);
    }
    runs
}

/// Eight runs by splitting in two three times over, halves side by side.
fn eighths(run: Run<'_>) -> Vec<Run<'_>> {
    fn halves(run: Run<'_>, times: u32) -> Vec<Run<'_>> {
        if times == 0 || run.items.len() <= WIDTH {
            return vec![run];
        }
        let (left, right) = run.split();
        let (mut left, right) =
            parallel::join(|| halves(left, times - 1), || halves(right, times - 1));
        left.extend(right);
        left
    }
    halves(run, 3)
}

/// Maps runs side by side, results in order.
fn each<'a, R: Send>(mut runs: Vec<Run<'a>>, work: &(impl Fn(Run<'a>) -> R + Sync)) -> Vec<R> {
    if runs.len() <= 1 {
        return runs.into_iter().map(work).collect();
    }
    let right = runs.split_off(runs.len() / 2);
    let (mut left, right) = parallel::join(|| each(runs, work), || each(right, work));
    left.extend(right);
    left
}

//! Surfaces that lie inside another body of the same part are not walls: bodies that overlap or touch
//! print as one.

use mesh::tree::Tree;
use mesh::vector::{Vec3, add, scale, sub};

use super::ball::Side;
use super::field::Reading;

/// How far beyond a surface one looks for the other medium, mm: under any slit that prints as one.
const BEYOND_MM: f64 = 2e-3;
/// Between outside (0) and inside (1) of a winding number.
const HALF: f64 = 0.5;

/// Whether both walls of a reading are borders between material and air, and the medium between them is
/// the one measured in.
pub(super) fn is_open(tree: &Tree, side: Side, reading: &Reading) -> bool {
    let solid = |p: Vec3| tree.winding_number(p) > HALF;
    let beyond = scale(reading.across, BEYOND_MM);
    let ends = [sub(reading.at, beyond), add(reading.contact, beyond)];
    // A wall thinner than one looks beyond has no inside worth asking for.
    let medium = reading.thickness_mm > BEYOND_MM;
    match side {
        Side::Inside => ends.iter().all(|&p| !solid(p)) && (!medium || solid(reading.centre)),
        Side::Outside => ends.iter().all(|&p| solid(p)) && (!medium || !solid(reading.centre)),
    }
}

/// Whether there is material just beyond a face of a wall, in the direction `beyond`: then the face lies
/// within another body and is no border of the part.
pub(super) fn is_covered(tree: &Tree, at: Vec3, beyond: Vec3) -> bool {
    tree.winding_number(add(at, scale(beyond, BEYOND_MM))) > HALF
}

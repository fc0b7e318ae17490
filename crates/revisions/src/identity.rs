//! The same triangles in any order: a fingerprint that neither the order of triangles nor the corner that each
//! begins with changes.
//!
//! A triangle is hashed from the exact bits of its nine coordinates (-0 made +0), the least corner first, winding
//! kept; the hashes are added. 128 bits: for files that nobody forged, equal fingerprints are equal meshes.

use mesh::Mesh;
use serde::{Deserialize, Serialize};

/// Triangles a chunk.
const CHUNK: usize = 1 << 14;

/// Stands for a mesh, whatever the order of its triangles.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Fingerprint {
    /// How many triangles.
    pub triangles: u64,
    /// Sums of two hashes of every triangle.
    pub sums: [u64; 2],
}

impl Fingerprint {
    /// The fingerprint of a mesh; linear in its triangles.
    pub fn of(mesh: &Mesh) -> Fingerprint {
        let parts = parallel::chunks(mesh.triangles.len(), CHUNK, |range| {
            let mut sums = [0u64; 2];
            for t in range {
                let corners = mesh.triangles[t]
                    .map(|v| mesh.vertices[v as usize].map(|x| (x + 0.0).to_bits()));
                let least = (0..3).fold(0, |l, k| if corners[k] < corners[l] { k } else { l });
                let mut hash = [0x9E37_79B9_7F4A_7C15u64, 0xC2B2_AE3D_27D4_EB4F];
                for k in 0..3 {
                    let [x, y, z] = corners[(least + k) % 3].map(u64::from);
                    hash[0] = mixed(hash[0] ^ (x << 32 | y));
                    hash[0] = mixed(hash[0] ^ z);
                    hash[1] = mixed(hash[1] ^ (z << 32 | x));
                    hash[1] = mixed(hash[1].wrapping_add(y));
                }
                sums = [0, 1].map(|i| sums[i].wrapping_add(hash[i]));
            }
            sums
        });
        let add = |a: [u64; 2], b: &[u64; 2]| [0, 1].map(|i| a[i].wrapping_add(b[i]));
        Fingerprint {
            triangles: mesh.triangles.len() as u64,
            sums: parts.iter().fold([0; 2], add),
        }
    }
}

/// A bijection of 64 bits that spreads every bit (the finisher of Steele, Lea, Flood 2014, SplitMix).
#[inline]
fn mixed(x: u64) -> u64 {
    let x = (x ^ (x >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    let x = (x ^ (x >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    x ^ (x >> 31)
}

#[cfg(test)]
mod tests {
    use super::*;
    use mesh::shapes::{cuboid, reversed, shuffled, torus, welded};

    fn print(soup: &[[[f32; 3]; 3]]) -> Fingerprint {
        Fingerprint::of(&welded(soup))
    }

    #[test]
    fn order_and_first_corner_do_not_matter_and_winding_does() {
        let soup = torus(64, 32, 20.0, 5.0);
        assert_eq!(print(&soup), print(&shuffled(&soup, 7)));
        assert_ne!(print(&soup), print(&reversed(&soup)));
    }

    #[test]
    fn one_bit_matters_and_the_sign_of_nought_does_not() {
        let soup = cuboid([0.0; 3], [20.0; 3]);
        let mut minus = soup.clone();
        minus[0][0] = minus[0][0].map(|x| if x == 0.0 { -0.0 } else { x });
        assert_eq!(print(&soup), print(&minus));
        let mut other = soup.clone();
        other[3][1][0] = other[3][1][0].next_up();
        assert_ne!(print(&soup), print(&other));
    }
}

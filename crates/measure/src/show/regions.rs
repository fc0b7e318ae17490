//! Places that lie together and face alike, as stretches of surface.

use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

use mesh::vector::{Vec3, distance, dot};

use super::sampling::Sample;

/// A stretch of surface.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Region {
    /// A place in it, nearest to its middle.
    pub at: Vec3,
    /// The outward normal there.
    pub outward: Vec3,
    /// Its area, mm2.
    pub area_mm2: f64,
    /// The highest value in it.
    pub worst: f64,
    /// How far it reaches from that place, mm.
    pub reach_mm: f64,
}

impl Region {
    /// How far its face leans from level, degrees, where `up` is one long.
    pub fn from_level_deg(&self, up: Vec3) -> f64 {
        libm::acos(dot(up, self.outward).abs().min(1.0)).to_degrees()
    }
}

/// So many stretches are kept.
const MOST: usize = 100;
/// Neighbours lie within this many times the side of the square that a place stands for.
const NEAR: f64 = 2.5;
/// Neighbours face alike within this cosine: 37 degrees.
const ALIKE: f64 = 0.8;

/// The stretches of the places that have a value, the one with most value times area first.
pub(super) fn regions(places: &[Sample], value: impl Fn(&Sample) -> Option<f64>) -> Vec<Region> {
    let chosen: Vec<(usize, f64)> = places
        .iter()
        .enumerate()
        .filter_map(|(i, s)| value(s).map(|v| (i, v)))
        .collect();
    let area = places.iter().map(|s| s.area_mm2).fold(0.0, f64::max);
    let near = NEAR * area.sqrt();
    if chosen.is_empty() || near <= 0.0 {
        return Vec::new();
    }
    let cell = |p: Vec3| p.map(|x| (x / near).floor() as i64);
    let mut cells: BTreeMap<[i64; 3], Vec<usize>> = BTreeMap::new();
    for (k, &(i, _)) in chosen.iter().enumerate() {
        cells.entry(cell(places[i].at)).or_default().push(k);
    }
    let mut group = vec![usize::MAX; chosen.len()];
    let mut out: Vec<(f64, Region)> = Vec::new();
    for start in 0..chosen.len() {
        if group[start] != usize::MAX {
            continue;
        }
        let mut members = vec![start];
        group[start] = start;
        let mut next = 0;
        while next < members.len() {
            let here = &places[chosen[members[next]].0];
            next += 1;
            let c = cell(here.at);
            for d in 0..27i64 {
                let key = [c[0] + d % 3 - 1, c[1] + d / 3 % 3 - 1, c[2] + d / 9 - 1];
                for &k in cells.get(&key).into_iter().flatten() {
                    let there = &places[chosen[k].0];
                    if group[k] == usize::MAX
                        && distance(here.at, there.at) <= near
                        && dot(here.normal, there.normal) > ALIKE
                    {
                        group[k] = start;
                        members.push(k);
                    }
                }
            }
        }
        out.push(region(places, &chosen, &members));
    }
    out.sort_by(|a, b| b.0.total_cmp(&a.0));
    out.truncate(MOST);
    out.into_iter().map(|(_, r)| r).collect()
}

fn region(places: &[Sample], chosen: &[(usize, f64)], members: &[usize]) -> (f64, Region) {
    let of = |&k: &usize| (&places[chosen[k].0], chosen[k].1);
    let area: f64 = members.iter().map(|k| of(k).0.area_mm2).sum();
    let weight: f64 = members.iter().map(|k| of(k).0.area_mm2 * of(k).1).sum();
    let middle = [0, 1, 2].map(|axis| {
        members
            .iter()
            .map(|k| of(k).0.at[axis] * of(k).0.area_mm2)
            .sum::<f64>()
            / area
    });
    let nearest = members
        .iter()
        .map(|k| of(k).0)
        .reduce(|a, b| {
            if distance(b.at, middle) < distance(a.at, middle) {
                b
            } else {
                a
            }
        })
        .unwrap_or(&places[chosen[members[0]].0]);
    let region = Region {
        at: nearest.at,
        outward: nearest.normal,
        area_mm2: area,
        worst: members.iter().map(|k| of(k).1).fold(0.0, f64::max),
        reach_mm: members
            .iter()
            .map(|k| distance(of(k).0.at, nearest.at))
            .fold(0.0, f64::max),
    };
    (weight, region)
}

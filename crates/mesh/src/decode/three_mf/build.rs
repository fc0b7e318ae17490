//! The build: which objects are printed, and where their triangles end up (clauses 3.3, 3.4.3, 4.2).

use std::collections::{BTreeMap, BTreeSet};

use super::Broken;
use super::number;
use super::object::{Kind, ModelPart, Object, Placed};
use crate::decode::fault::{DecodeFault, Place};
use crate::decode::format::DecodeLimits;
use crate::decode::{Decoded, Oddity};
use crate::vector::{Vec3, add, cross, dot, scale, wide};

/// Components within components: bounded, since a chain of them may double at every step.
const DEEPEST: usize = 64;

/// An affine map of row vectors: the rows of the linear part, then the shift (clause 3.3).
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Transform([Vec3; 4]);

impl Transform {
    pub(super) const IDENTITY: Transform =
        Transform([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [0.0; 3]]);

    /// Twelve numbers: m00 m01 m02 m10 ... m32.
    pub(super) fn read(written: &str) -> Result<Transform, Broken> {
        let wrong = || {
            let shown: String = written.chars().take(80).collect();
            Broken::new(
                "3.3",
                format!("{shown:?} is no transform of twelve numbers"),
            )
        };
        let mut rows = [[0.0; 3]; 4];
        let mut words = written.split_ascii_whitespace();
        for x in rows.iter_mut().flatten() {
            let word = words.next().ok_or_else(wrong)?;
            *x = f64::from(
                number::real(word)
                    .filter(|x| x.is_finite())
                    .ok_or_else(wrong)?,
            );
        }
        if words.next().is_some() {
            return Err(wrong());
        }
        let map = Transform(rows);
        if map.determinant() == 0.0 {
            return Err(Broken::new("3.3", "a transform that makes the object flat"));
        }
        Ok(map)
    }

    fn determinant(&self) -> f64 {
        dot(self.0[0], cross(self.0[1], self.0[2]))
    }

    fn linear(&self, p: Vec3) -> Vec3 {
        add(
            add(scale(self.0[0], p[0]), scale(self.0[1], p[1])),
            scale(self.0[2], p[2]),
        )
    }

    /// The image of a point.
    pub(super) fn apply(&self, p: Vec3) -> Vec3 {
        add(self.linear(p), self.0[3])
    }

    /// First `self`, then `outer`.
    fn then(&self, outer: &Transform) -> Transform {
        let [a, b, c, shift] = self.0;
        Transform([
            outer.linear(a),
            outer.linear(b),
            outer.linear(c),
            outer.apply(shift),
        ])
    }
}

/// Objects placed, at any depth, that one file may come to: objects without a triangle cost time as well.
const PLACEMENTS: u64 = 10_000_000;

/// An object by the model part it is in and its id.
type Key<'a> = (&'a str, u32);

/// What placing an object comes to, with all its components.
#[derive(Debug, Clone, Copy, Default)]
struct Cost {
    triangles: u64,
    placements: u64,
}

impl Cost {
    fn plus(self, other: Cost) -> Cost {
        Cost {
            triangles: self.triangles.saturating_add(other.triangles),
            placements: self.placements.saturating_add(other.placements),
        }
    }
}

struct Assembly<'a> {
    parts: &'a BTreeMap<String, ModelPart>,
    /// The cost of each object; `None` while it is being counted.
    costs: BTreeMap<Key<'a>, Option<Cost>>,
    used: BTreeSet<String>,
    decoded: Decoded,
}

/// Puts the build together, or the object asked for; and the names of the model parts it came from.
pub(super) fn assemble(
    parts: &BTreeMap<String, ModelPart>,
    start: &str,
    asked: Option<&str>,
    limits: &DecodeLimits,
) -> Result<(Decoded, BTreeSet<String>), DecodeFault> {
    let mut assembly = Assembly {
        parts,
        costs: BTreeMap::new(),
        used: BTreeSet::new(),
        decoded: Decoded {
            indexed: true,
            ..Decoded::default()
        },
    };
    let Some((start, root)) = parts.get_key_value(start) else {
        return Ok((assembly.decoded, assembly.used));
    };
    assembly.decoded.objects = names(root);
    let mut wanted: Vec<(Key<'_>, Transform)> = Vec::new();
    for item in &root.build {
        let key = assembly.key(start, item, "3.4.3.1")?;
        assembly.cost(key, 0)?;
        let object = &parts[key.0].objects[&key.1];
        match object.kind {
            Kind::Other => {
                let what = format!("an item builds object {}, which is of type other", key.1);
                return Err(Broken::new("3.4.3.1", what).at(start));
            }
            Kind::Model => wanted.push((key, item.transform)),
            kind => {
                let oddity = Oddity::NotPrinted {
                    object: shown(key.1, object),
                    kind: kind.name().into(),
                };
                if asked.is_none() && !assembly.decoded.oddities.contains(&oddity) {
                    assembly.decoded.oddities.push(oddity);
                }
            }
        }
    }
    if let Some(asked) = asked {
        let key = pick(start, root, asked, &assembly.decoded.objects)?;
        assembly.cost(key, 0)?;
        let placed = root
            .build
            .iter()
            .find_map(|item| assembly.first_place(start, item, key, &Transform::IDENTITY, 0));
        wanted = vec![(key, placed.unwrap_or(Transform::IDENTITY))];
    }
    let mut total = Cost::default();
    for (key, _) in &wanted {
        total = total.plus(assembly.cost(*key, 0)?);
    }
    if total.triangles > limits.max_triangles as u64 {
        return Err(DecodeFault::TooManyTriangles {
            count: total.triangles,
            limit: limits.max_triangles as u64,
        });
    }
    if total.placements > PLACEMENTS {
        let what = format!(
            "it places {} objects, at most {PLACEMENTS} are read",
            total.placements
        );
        return Err(DecodeFault::Package { what });
    }
    for (key, transform) in wanted {
        assembly.place(key, &transform)?;
    }
    Ok((assembly.decoded, assembly.used))
}

/// How an object is asked for: its name where it has one of its own, else its id.
fn names(root: &ModelPart) -> Vec<String> {
    let mut times: BTreeMap<&str, usize> = BTreeMap::new();
    for object in root.objects.values() {
        if let Some(name) = &object.name {
            *times.entry(name).or_default() += 1;
        }
    }
    root.order
        .iter()
        .map(|id| match root.objects[id].name.as_deref() {
            Some(name) if !name.is_empty() && times[name] == 1 => name.to_string(),
            _ => id.to_string(),
        })
        .collect()
}

fn shown(id: u32, object: &Object) -> String {
    match object.name.as_deref() {
        Some(name) if !name.is_empty() => name.into(),
        _ => id.to_string(),
    }
}

fn pick<'a>(
    start: &'a str,
    root: &ModelPart,
    asked: &str,
    known: &[String],
) -> Result<Key<'a>, DecodeFault> {
    let named: Vec<u32> = root
        .order
        .iter()
        .copied()
        .filter(|id| root.objects[id].name.as_deref() == Some(asked))
        .collect();
    match named[..] {
        [id] => return Ok((start, id)),
        [] => {
            if let Some(id) = number::id(asked).filter(|id| root.objects.contains_key(id)) {
                return Ok((start, id));
            }
        }
        _ => {}
    }
    Err(DecodeFault::Object {
        asked: asked.into(),
        matches: named.len(),
        known: known.to_vec(),
    })
}

impl<'a> Assembly<'a> {
    fn key(
        &self,
        part: &'a str,
        placed: &'a Placed,
        clause: &'static str,
    ) -> Result<Key<'a>, DecodeFault> {
        let part = placed.path.as_deref().unwrap_or(part);
        self.parts
            .get_key_value(part)
            .filter(|(_, model)| model.objects.contains_key(&placed.object))
            .map(|(name, _)| (name.as_str(), placed.object))
            .ok_or_else(|| {
                let what = format!("object {} is placed, and there is none", placed.object);
                Broken::new(clause, what).at(part)
            })
    }

    /// What placing an object comes to, before anything of it is copied.
    fn cost(&mut self, key: Key<'a>, depth: usize) -> Result<Cost, DecodeFault> {
        match self.costs.get(&key) {
            Some(Some(cost)) => return Ok(*cost),
            Some(None) => {
                let what = format!("object {} is a component of itself", key.1);
                return Err(Broken::new("4.2", what).at(key.0));
            }
            None => {}
        }
        if depth > DEEPEST {
            let what = format!("components nested deeper than {DEEPEST}");
            return Err(Broken::new("4.2", what).at(key.0));
        }
        self.costs.insert(key, None);
        let parts = self.parts;
        let object = &parts[key.0].objects[&key.1];
        let mut cost = Cost {
            triangles: object.triangles.len() as u64,
            placements: 1,
        };
        for component in &object.components {
            let inner = self.key(key.0, component, "4.2")?;
            cost = cost.plus(self.cost(inner, depth + 1)?);
        }
        self.costs.insert(key, Some(cost));
        Ok(cost)
    }

    /// Where the build first places an object; all costs are known, so there is no cycle.
    fn first_place(
        &self,
        part: &'a str,
        placed: &'a Placed,
        wanted: Key<'a>,
        outer: &Transform,
        depth: usize,
    ) -> Option<Transform> {
        let key = self.key(part, placed, "4.2").ok()?;
        let transform = placed.transform.then(outer);
        if key == wanted {
            return Some(transform);
        }
        if depth > DEEPEST || !self.reaches(key, wanted) {
            return None;
        }
        self.parts[key.0].objects[&key.1]
            .components
            .iter()
            .find_map(|c| self.first_place(key.0, c, wanted, &transform, depth + 1))
    }

    /// Is `wanted` among the components of `key`, at any depth? Each object is looked at once.
    fn reaches(&self, key: Key<'a>, wanted: Key<'a>) -> bool {
        let mut seen = BTreeSet::new();
        let mut open = vec![key];
        while let Some(key) = open.pop() {
            if key == wanted {
                return true;
            }
            if seen.insert(key) {
                let components = &self.parts[key.0].objects[&key.1].components;
                open.extend(
                    components
                        .iter()
                        .filter_map(|c| self.key(key.0, c, "4.2").ok()),
                );
            }
        }
        false
    }

    /// Appends an object and its components; their number has been checked.
    fn place(&mut self, key: Key<'a>, transform: &Transform) -> Result<(), DecodeFault> {
        let parts = self.parts;
        let object = &parts[key.0].objects[&key.1];
        if let Some(what) = object.unreadable {
            return Err(DecodeFault::Unreadable {
                what: format!("object {} holds {what}, which", shown(key.1, object)),
                place: Place::Part {
                    name: key.0.into(),
                    line: None,
                },
            });
        }
        if !self.used.contains(key.0) {
            self.used.insert(key.0.to_string());
        }
        let first = self.decoded.vertices.len() as u32;
        let mirrored = transform.determinant() < 0.0;
        if *transform == Transform::IDENTITY {
            self.decoded.vertices.extend(&object.vertices);
        } else {
            self.decoded
                .vertices
                .extend(object.vertices.iter().map(|&p| {
                    let [x, y, z] = transform.apply(wide(p));
                    [x as f32, y as f32, z as f32]
                }));
        }
        self.decoded
            .triangles
            .extend(object.triangles.iter().map(|t| {
                let [a, b, c] = t.map(|v| v + first);
                // A mirrored solid keeps a positive volume (clause 3.3).
                if mirrored { [a, c, b] } else { [a, b, c] }
            }));
        for component in &object.components {
            let inner = self.key(key.0, component, "4.2")?;
            self.place(inner, &component.transform.then(transform))?;
        }
        Ok(())
    }
}

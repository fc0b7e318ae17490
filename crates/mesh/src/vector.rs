//! Arithmetic on points and vectors of three f64: plain arrays, no type of its own.

/// A point or vector, millimetres unless a name says otherwise.
pub type Vec3 = [f64; 3];

/// Widens a stored vertex; every f32 is exactly an f64.
#[inline]
pub fn wide(p: [f32; 3]) -> Vec3 {
    [f64::from(p[0]), f64::from(p[1]), f64::from(p[2])]
}

/// a + b
#[inline]
pub fn add(a: Vec3, b: Vec3) -> Vec3 {
    [a[0] + b[0], a[1] + b[1], a[2] + b[2]]
}

/// a - b
#[inline]
pub fn sub(a: Vec3, b: Vec3) -> Vec3 {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

/// s a
#[inline]
pub fn scale(a: Vec3, s: f64) -> Vec3 {
    [a[0] * s, a[1] * s, a[2] * s]
}

/// a . b
#[inline]
pub fn dot(a: Vec3, b: Vec3) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

/// a x b
#[inline]
pub fn cross(a: Vec3, b: Vec3) -> Vec3 {
    [
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    ]
}

/// Length of a.
#[inline]
pub fn length(a: Vec3) -> f64 {
    dot(a, a).sqrt()
}

/// Distance of two points.
#[inline]
pub fn distance(a: Vec3, b: Vec3) -> f64 {
    length(sub(a, b))
}

/// a made one long; `None` where a has no direction.
#[inline]
pub fn unit(a: Vec3) -> Option<Vec3> {
    let l = length(a);
    (l > 0.0 && l.is_finite()).then(|| scale(a, 1.0 / l))
}

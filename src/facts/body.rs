//! Rigid bodies: mass, centre, inertia, and several taken as one.

/// A symmetric tensor, by rows. Off its diagonal stand the tensor's elements, −∫xy dm.
pub type Tensor = [[f64; 3]; 3];

/// A rigid body, in any one system of units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Body {
    /// Mass.
    pub mass: f64,
    /// Centre of mass.
    pub centre: [f64; 3],
    /// Inertia tensor about the centre of mass.
    pub inertia: Tensor,
}

impl Body {
    /// The body moved without being turned.
    #[must_use]
    pub fn moved(self, by: [f64; 3]) -> Self {
        Self { centre: [0, 1, 2].map(|axis| self.centre[axis] + by[axis]), ..self }
    }
}

/// Several bodies taken as one, in their order; `None` if they have no mass.
///
/// The centre is the mean weighed with the masses; inertias add after each was carried to the common
/// centre by the parallel-axis theorem, I + m·(d² − ddᵀ).
#[must_use]
pub fn combine(bodies: &[Body]) -> Option<Body> {
    let mass: f64 = bodies.iter().map(|body| body.mass).sum();
    if !(mass > 0.0 && mass.is_finite()) {
        return None;
    }
    let centre = [0, 1, 2]
        .map(|axis| bodies.iter().map(|body| body.mass * body.centre[axis]).sum::<f64>() / mass);
    let inertia = bodies.iter().fold([[0.0; 3]; 3], |total, body| {
        let carried = about(body, centre);
        [0, 1, 2].map(|i| [0, 1, 2].map(|j| total[i][j] + carried[i][j]))
    });
    Some(Body { mass, centre, inertia })
}

/// The inertia of `body` about `point`.
fn about(body: &Body, point: [f64; 3]) -> Tensor {
    let d = [0, 1, 2].map(|axis| body.centre[axis] - point[axis]);
    let square = d[0] * d[0] + d[1] * d[1] + d[2] * d[2];
    [0, 1, 2].map(|i| {
        [0, 1, 2].map(|j| {
            let along = if i == j { square } else { 0.0 };
            body.inertia[i][j] + body.mass * (along - d[i] * d[j])
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn diagonal([x, y, z]: [f64; 3]) -> Tensor {
        [[x, 0.0, 0.0], [0.0, y, 0.0], [0.0, 0.0, z]]
    }

    /// SAWE paper 3360, the example of two bodies (read in a restatement, as printed to seven digits).
    #[test]
    fn two_bodies_of_a_published_example_are_one() {
        let large = Body {
            mass: 57.83,
            centre: [121.2, 0.04, -0.16],
            inertia: diagonal([7258.90, 8607.02, 10453.40]),
        };
        let small = Body {
            mass: 16.80,
            centre: [70.9, -0.95, 0.46],
            inertia: diagonal([65.07, 1124.65, 1078.82]),
        };
        let both = combine(&[large, small]).expect("they have mass");
        assert!((both.mass - 74.63).abs() < 1e-9);
        for (axis, printed) in [109.8769, -0.182_859_4, -0.020_431_46].into_iter().enumerate() {
            assert!((both.centre[axis] - printed).abs() < 1e-5 * printed.abs(), "{both:?}");
        }
        for (axis, printed) in [7341.733, 42_673.75, 44_482.05].into_iter().enumerate() {
            assert!((both.inertia[axis][axis] / printed - 1.0).abs() < 1e-5, "{both:?}");
        }
    }

    /// A cuboid cut in two is the cuboid: m/12·(b² + c²), any textbook of mechanics.
    #[test]
    fn two_halves_are_the_whole() {
        let cuboid = |size: [f64; 3], centre: [f64; 3]| {
            let mass = size.iter().product::<f64>();
            let [x, y, z] = size.map(|side| side * side);
            Body {
                mass,
                centre,
                inertia: diagonal([y + z, z + x, x + y].map(|sum| mass / 12.0 * sum)),
            }
        };
        let half = cuboid([2.0, 3.0, 5.0], [1.0, 0.0, 7.0]);
        let halves = [half, half.moved([2.0, 0.0, 0.0])];
        assert_eq!(combine(&halves), Some(cuboid([4.0, 3.0, 5.0], [2.0, 0.0, 7.0])));
    }

    #[test]
    fn what_has_no_mass_has_no_centre() {
        assert_eq!(combine(&[]), None);
        assert_eq!(combine(&[Body { mass: 0.0, centre: [1.0; 3], inertia: [[0.0; 3]; 3] }]), None);
    }
}

//! Where the camera sits on the wall and which way it looks.
//!
//! Turns a point of the door frame into the camera frame (both are defined in [`super`]). Nothing here knows the lens.

/// The camera's place and direction.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Pose {
    /// Height of the lens above the ground, m.
    pub height_m: f64,
    /// The lens beside the place that callers face, m, positive to the visitor's right. The lens is taken to lie in
    /// the wall's plane: distances are from the wall's face.
    pub offset_m: f64,
    /// Axis above the horizontal, rad, positive up.
    pub tilt_rad: f64,
    /// Axis aside from straight out of the wall, rad, positive to the visitor's right.
    pub turn_rad: f64,
    /// Mounting turned about the axis, rad, positive clockwise as seen from behind the camera. A board mounted on its
    /// side is a quarter turn.
    pub roll_rad: f64,
}

/// The map from the door frame to a camera's frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CameraFromDoor {
    /// Rows: the camera's right, down and forward as directions of the door frame.
    pub rows: [[f64; 3]; 3],
    /// The lens in the door frame, m.
    pub lens_in_door_m: [f64; 3],
}

impl Pose {
    /// The map from the door frame to this camera's frame.
    ///
    /// # Examples
    ///
    /// A level camera at 1.4 m sees an eye at 1.75 m, 0.5 m before it, above its axis (camera y is down):
    ///
    /// ```
    /// let pose = models::optics::pose::Pose { height_m: 1.4, ..Default::default() };
    /// let eye = pose.camera_from_door().apply([0.0, 1.75, 0.5]);
    /// assert!(eye[0] == 0.0 && (eye[1] + 0.35).abs() < 1e-12 && eye[2] == 0.5);
    /// ```
    pub fn camera_from_door(&self) -> CameraFromDoor {
        let (tilt_sin, tilt_cos) = self.tilt_rad.sin_cos();
        let (turn_sin, turn_cos) = self.turn_rad.sin_cos();
        let (roll_sin, roll_cos) = self.roll_rad.sin_cos();
        let forward = [turn_sin * tilt_cos, tilt_sin, turn_cos * tilt_cos];
        // Before the roll, right is level and down completes it: forward × right.
        let right = [-turn_cos, 0.0, turn_sin];
        let down = cross(forward, right);
        CameraFromDoor {
            rows: [
                std::array::from_fn(|i| roll_cos * right[i] + roll_sin * down[i]),
                std::array::from_fn(|i| roll_cos * down[i] - roll_sin * right[i]),
                forward,
            ],
            lens_in_door_m: [self.offset_m, self.height_m, 0.0],
        }
    }
}

impl CameraFromDoor {
    /// A point of the door frame in the camera frame, m.
    #[inline]
    pub fn apply(&self, point_in_door_m: [f64; 3]) -> [f64; 3] {
        let [x, y, z]: [f64; 3] = std::array::from_fn(|i| point_in_door_m[i] - self.lens_in_door_m[i]);
        std::array::from_fn(|i| self.rows[i][0] * x + self.rows[i][1] * y + self.rows[i][2] * z)
    }

    /// A direction of the camera frame in the door frame.
    pub fn direction_in_door(&self, direction: [f64; 3]) -> [f64; 3] {
        std::array::from_fn(|i| (0..3).map(|row| self.rows[row][i] * direction[row]).sum())
    }

    /// One axis of the door frame (0 along the wall, 1 up, 2 out) as a direction of the camera frame.
    #[inline]
    pub fn door_axis(&self, axis: usize) -> [f64; 3] {
        std::array::from_fn(|row| self.rows[row][axis])
    }
}

/// Rotation matrix of a rotation vector (axis times angle, rad), rows first: Rodrigues' formula.
///
/// The form in which camera calibrations state a pose.
pub fn rotation_from_vector(vector: [f64; 3]) -> [[f64; 3]; 3] {
    let angle = vector.iter().map(|v| v * v).sum::<f64>().sqrt();
    if angle == 0.0 {
        return [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
    }
    let axis = vector.map(|v| v / angle);
    let (sin, cos) = angle.sin_cos();
    let skew = [[0.0, -axis[2], axis[1]], [axis[2], 0.0, -axis[0]], [-axis[1], axis[0], 0.0]];
    std::array::from_fn(|i| {
        std::array::from_fn(|j| {
            let unit = if i == j { cos } else { 0.0 };
            unit + (1.0 - cos) * axis[i] * axis[j] + sin * skew[i][j]
        })
    })
}

fn cross(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

#[cfg(test)]
mod tests {
    use std::f64::consts::FRAC_PI_2;

    use proptest::prelude::*;

    use super::*;

    fn at(pose: Pose, point: [f64; 3]) -> [f64; 3] {
        pose.camera_from_door().apply(point).map(|v| (v * 1e9).round() / 1e9)
    }

    #[test]
    fn visitors_right_is_the_pictures_left() {
        assert_eq!(at(Pose::default(), [0.2, 0.0, 1.0]), [-0.2, 0.0, 1.0]);
    }

    #[test]
    fn tilt_up_brings_the_high_to_the_axis_and_turn_the_visitors_right() {
        let up = Pose { tilt_rad: 0.3, ..Pose::default() };
        assert_eq!(at(up, [0.0, 0.3f64.sin(), 0.3f64.cos()]), [0.0, 0.0, 1.0]);
        let turned = Pose { turn_rad: 0.3, ..Pose::default() };
        assert_eq!(at(turned, [0.3f64.sin(), 0.0, 0.3f64.cos()]), [0.0, 0.0, 1.0]);
    }

    #[test]
    fn a_quarter_turn_clockwise_puts_up_on_the_left() {
        // The camera's own right then points down, so what is above lies to its left.
        let rolled = Pose { roll_rad: FRAC_PI_2, ..Pose::default() };
        assert_eq!(at(rolled, [0.0, 1.0, 1.0]), [-1.0, 0.0, 1.0]);
    }

    proptest! {

        #[test]
        fn lengths_and_handedness_are_kept(tilt_rad in -1.5..1.5f64, turn_rad in -1.5..1.5f64, roll_rad in -3.0..3.0f64,
            point in prop::array::uniform3(-5.0..5.0f64)) {
            let map = Pose { height_m: 1.4, offset_m: 0.3, tilt_rad, turn_rad, roll_rad }.camera_from_door();
            let [right, down, forward] = map.rows;
            let third = cross(right, down);
            prop_assert!((0..3).all(|i| (third[i] - forward[i]).abs() < 1e-12));
            let before = point[0].hypot(point[1]).hypot(point[2]);
            let turned = map.apply(std::array::from_fn(|i| point[i] + map.lens_in_door_m[i]));
            prop_assert!((turned[0].hypot(turned[1]).hypot(turned[2]) - before).abs() < 1e-12 * before.max(1.0));
            let back = map.direction_in_door(turned);
            prop_assert!((0..3).all(|i| (back[i] - point[i]).abs() < 1e-12));
        }

        #[test]
        fn four_quarter_turns_are_none(tilt_rad in -1.0..1.0f64) {
            let once = Pose { tilt_rad, ..Pose::default() }.camera_from_door();
            let round = Pose { tilt_rad, roll_rad: 4.0 * FRAC_PI_2, ..Pose::default() }.camera_from_door();
            prop_assert!((0..3).all(|i| (0..3).all(|j| (once.rows[i][j] - round.rows[i][j]).abs() < 1e-12)));
        }
    }
}

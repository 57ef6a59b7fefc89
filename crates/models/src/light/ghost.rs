//! A lamp behind the lens's own window: its mirror image in the pane, and the veil that it lays over the picture.

/// Share of light that one surface of a clear pane throws back: 4 % (Fresnel at index 1.5: (0.5/2.5)²).
pub const SURFACE_REFLECTANCE: f64 = 0.04;

/// Angle from the lens's axis at which the lamp's mirror image stands: atan(s / 2h).
///
/// - `offset_m`: lamp beside the lens. `gap_m`: both before the pane. A thick pane adds its own thickness over 1.5.
///
/// By hand (trade.md, `calc`): s 10 mm, h 3 mm: 59°; s 20, h 10: 45°.
///
/// ```
/// use models::light::ghost::angle_rad;
/// assert_eq!(angle_rad(0.010, 0.003).to_degrees().round(), 59.0);
/// assert_eq!(angle_rad(0.020, 0.010).to_degrees().round(), 45.0);
/// ```
pub fn angle_rad(offset_m: f64, gap_m: f64) -> f64 {
    offset_m.atan2(2.0 * gap_m)
}

/// Light of the mirror image on the lens, over that of a picture full of faces which the same lamp lights.
///
/// - `relative`: the lamp's strength towards its image over that towards the face ([`super::lamp::Beam::relative`] at
///   [`angle_rad`]); 1 if it shines all round.
/// - `face_m`: lamp to face. `reflectance`: the face's, for this light.
///
/// Two surfaces throw back 8 % from a path of √(s² + 4h²); faces all over the view give ρ/d². Above 1 the ghost brings more
/// light into the lens than the whole picture, and what the lens scatters of it is a haze. Derived here (inverse square);
/// dirt and drops scatter more.
///
/// ```
/// // 10 mm beside, 3 mm behind the pane, a face of 0.5 at 0.6 m: some four hundred times.
/// let times = models::light::ghost::veil_ratio(0.010, 0.003, 1.0, 0.6, 0.5);
/// assert!((times - 423.5).abs() < 1.0);
/// ```
pub fn veil_ratio(offset_m: f64, gap_m: f64, relative: f64, face_m: f64, reflectance: f64) -> f64 {
    let path2_m2 = offset_m * offset_m + 4.0 * gap_m * gap_m;
    2.0 * SURFACE_REFLECTANCE * relative / path2_m2 * (face_m * face_m) / reflectance
}

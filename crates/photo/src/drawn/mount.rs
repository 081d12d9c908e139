//! What lies around the metal: black resin, bright resin, cloth; and the rule's own look.

use super::stage::Stage;
use super::style::Mount;
use super::texture::{grain, hash, noise, rough, unit};

/// Tone of the mount at a place; `out` is the distance to the metal, px.
pub(crate) fn mount(stage: &Stage, x: f32, y: f32, out: f32) -> [f32; 3] {
    let px = stage.px_per_mm;
    let (mx, my) = (x / px, y / px);
    let salt = stage.salt(70);
    match stage.style.frame.mount {
        Mount::Dark => {
            // Crushed mineral filler, hardly to be seen.
            let flake = grain(mx * 1.3 + 0.4 * noise(mx * 2.0, my * 2.0, salt), my * 1.3, salt);
            let t = 0.030 + 0.012 * (unit(flake.id) - 0.3).max(0.0) + 0.006 * rough(mx * 4.0, my * 4.0, salt, 2);
            [t, 1.02 * t, 1.03 * t]
        }
        Mount::Bright => {
            let t = 0.84 + 0.03 * rough(mx * 0.3, my * 0.3, salt, 3) + 0.012 * noise(mx * 6.0, my * 6.0, salt);
            // Resin shrinks away from the metal.
            let gap = (0.02 + 0.05 * (0.5 + 0.5 * noise(mx * 0.4, my * 0.4, salt ^ 9))) * px;
            let dark = 1.0 - 0.85 * super::texture::cover(gap - out, 1.0 + 0.3 * gap);
            [t * dark, 0.99 * t * dark, 0.95 * t * dark]
        }
        Mount::Cloth => {
            // Threads over and under, out of focus.
            let (u, v) = (mx * 2.2 + 0.25 * noise(mx, my, salt), my * 2.2 + 0.25 * noise(mx, my, salt ^ 3));
            let over = hash(u.floor() as i32, v.floor() as i32, 0) & 1;
            let thread = if over == 0 { (u * 6.28).sin() } else { (v * 6.28).sin() };
            let t = 0.27 + 0.05 * thread * 0.6 + 0.05 * rough(mx * 0.25, my * 0.25, salt, 3);
            // The sample's shadow.
            let shade = 1.0 - 0.45 * (-out / (1.1 * px)).exp();
            [0.85 * t * shade, 0.95 * t * shade, 1.12 * t * shade]
        }
    }
}

/// The rule's tone at a pixel.
pub(crate) fn rule(stage: &Stage, white: bool, ink: f32, x: f32, y: f32) -> [f32; 3] {
    let px = stage.px_per_mm;
    let (mx, my) = (x / px, y / px);
    let salt = stage.salt(71);
    let t = if white {
        0.80 + 0.02 * noise(mx, my, salt)
    } else {
        0.52 + 0.04 * noise(mx * 0.5, my * 30.0, salt) + 0.05 * noise(mx * 0.2, my * 0.4, salt)
    };
    let t = t * (1.0 - ink) + 0.07 * ink;
    [t, t, 0.98 * t]
}

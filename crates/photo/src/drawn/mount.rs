//! What lies around the metal: black resin, bright resin, cloth; and the rule's own look.

use super::stage::Stage;
use super::style::Mount;
use super::texture::{grain, noise, rough, unit};

/// Tone of the mount at a place; `out` is the distance to the metal, px.
pub(crate) fn mount(stage: &Stage, x: f32, y: f32, out: f32) -> [f32; 3] {
    let px = stage.px_per_mm;
    let (mx, my) = (x / px, y / px);
    let salt = stage.salt(70);
    match stage.style.frame.mount {
        Mount::Dark => {
            // Crushed mineral filler, hardly to be seen.
            let flake = grain(mx * 1.3, my * 1.1, salt);
            let t = 0.030
                + 0.012 * (unit(flake.id) - 0.3).max(0.0)
                + 0.004 * noise(mx * 3.0, my * 3.0, salt);
            [t, 1.02 * t, 1.03 * t]
        }
        Mount::Bright => {
            let t = 0.84
                + 0.03 * rough(mx * 0.3, my * 0.3, salt, 3)
                + 0.012 * noise(mx * 6.0, my * 6.0, salt);
            // Resin shrinks away from the metal.
            let gap = (0.05 * noise(mx * 0.35, my * 0.35, salt ^ 9)
                + 0.015 * noise(mx * 2.0, my * 2.0, salt ^ 10))
            .max(0.0)
                * px;
            let dark = 1.0
                - 0.8 * (gap / 1.5).min(1.0) * super::texture::cover(gap - out, 1.0 + 0.3 * gap);
            let dark = dark * (1.0 - 0.12 * (-out / (0.5 * px)).exp());
            [t * dark, 0.99 * t * dark, 0.95 * t * dark]
        }
        Mount::Cloth => {
            // Lint-free cloth, well out of focus: a weave hardly told from its folds.
            let (u, v) = (
                mx * 3.1 + 0.5 * noise(mx * 0.7, my * 0.7, salt),
                my * 3.1 + 0.5 * noise(mx * 0.7, my * 0.7, salt ^ 3),
            );
            let weave = (u * std::f32::consts::TAU).sin() * (v * std::f32::consts::TAU).sin();
            let fold = rough(mx * 0.16, my * 0.22, salt, 3);
            let t =
                0.26 + 0.012 * weave + 0.07 * fold + 0.012 * noise(mx * 1.7, my * 1.7, salt ^ 4);
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

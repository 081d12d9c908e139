//! From light on the section to bytes: uneven light, focus, noise, rounding.

use super::Px;
use super::style::{Light, Sensor};
use rand::{RngCore, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rayon::prelude::*;

/// Brightness over the frame.
pub(crate) struct Lamp {
    gain: f32,
    slope: [f32; 2],
    vignette: f32,
    glare: f32,
    spot: [f32; 2],
    cast: [f32; 3],
    half: [f32; 2],
}

impl Lamp {
    pub(crate) fn new(light: &Light, width: usize, height: usize, spot: Px) -> Self {
        let (sin, cos) = (light.towards_deg.to_radians() as f32).sin_cos();
        Self {
            gain: light.exposure as f32,
            slope: [light.gradient as f32 * cos, -(light.gradient as f32) * sin],
            vignette: light.vignette as f32,
            glare: light.glare as f32,
            spot: [spot[0] as f32, spot[1] as f32],
            cast: light.cast.map(|v| v as f32),
            half: [0.5 * width as f32, 0.5 * height as f32],
        }
    }

    /// Gain of each colour, and what glare adds, at a pixel.
    pub(crate) fn at(&self, x: f32, y: f32) -> ([f32; 3], f32) {
        let (u, v) = (x / self.half[0] - 1.0, y / self.half[1] - 1.0);
        let sideways = (1.0 + self.slope[0] * u + self.slope[1] * v).max(0.05);
        let corner = 1.0 - self.vignette * 0.5 * (u * u + v * v);
        let g = self.gain * sideways * corner;
        let glare = if self.glare > 0.0 {
            let (a, b) = (u - self.spot[0], v - self.spot[1]);
            self.glare * (-1.8 * (a * a + b * b)).exp()
        } else {
            0.0
        };
        (self.cast.map(|c| c * g), glare * self.gain)
    }
}

/// Gaussian weights, symmetric and with a sum of 1; `None` when there is nothing to blur.
fn kernel(sigma: f64) -> Option<Vec<f32>> {
    if sigma < 0.05 {
        return None;
    }
    let reach = (3.2 * sigma).ceil().max(1.0) as i32;
    let raw: Vec<f64> =
        (-reach..=reach).map(|i| (-0.5 * (f64::from(i) / sigma).powi(2)).exp()).collect();
    let sum: f64 = raw.iter().sum();
    Some(raw.iter().map(|v| (v / sum) as f32).collect())
}

fn blur(rgb: &mut [f32], width: usize, height: usize, sigma: f64) {
    let Some(kernel) = kernel(sigma) else { return };
    let reach = kernel.len() / 2;
    let stride = 3 * width;
    let mut across = vec![0.0_f32; rgb.len()];
    across.par_chunks_mut(stride).zip(rgb.par_chunks(stride)).for_each(|(to, from)| {
        let mut padded = Vec::with_capacity(stride + 6 * reach);
        for _ in 0..reach {
            padded.extend_from_slice(&from[..3]);
        }
        padded.extend_from_slice(from);
        for _ in 0..reach {
            padded.extend_from_slice(&from[stride - 3..]);
        }
        for (k, &w) in kernel.iter().enumerate() {
            for (t, f) in to.iter_mut().zip(&padded[3 * k..]) {
                *t += w * f;
            }
        }
    });
    rgb.par_chunks_mut(stride).enumerate().for_each(|(row, to)| {
        to.fill(0.0);
        for (k, &w) in kernel.iter().enumerate() {
            let y = (row + k).saturating_sub(reach).min(height - 1);
            for (t, f) in to.iter_mut().zip(&across[y * stride..(y + 1) * stride]) {
                *t += w * f;
            }
        }
    });
}

/// Focus, tone curve, noise, bytes. `power` is the exponent from light to bytes: 1 where tones are bytes already.
pub(crate) fn develop(
    mut rgb: Vec<f32>,
    width: usize,
    height: usize,
    sensor: &Sensor,
    power: f32,
    seed: u64,
) -> Vec<u8> {
    blur(&mut rgb, width, height, sensor.blur_px);
    let mut out = vec![0_u8; rgb.len()];
    let (shot, read, chroma) = (sensor.shot as f32, sensor.read as f32, sensor.chroma as f32);
    let noisy = shot > 0.0 || read > 0.0;
    let stride = 3 * width;
    out.par_chunks_mut(stride).zip(rgb.par_chunks(stride)).enumerate().for_each(
        |(row, (to, from))| {
            let mut rng = ChaCha8Rng::seed_from_u64(seed ^ 0x6E6F_6973_6500);
            rng.set_stream(row as u64);
            // Sum of four uniform numbers: near enough to a normal one, and the same on every machine.
            let mut normal = || {
                let bits = rng.next_u64();
                let sum =
                    (bits & 0xFFFF) + (bits >> 16 & 0xFFFF) + (bits >> 32 & 0xFFFF) + (bits >> 48);
                (sum as f32 / 65_535.0 - 2.0) * 1.732
            };
            for (t, f) in to.chunks_exact_mut(3).zip(from.chunks_exact(3)) {
                let mut v = [f[0], f[1], f[2]];
                if power != 1.0 {
                    v = v.map(|v| v.max(0.0).powf(power));
                }
                if noisy {
                    let sigma = v.map(|v| (shot * shot * v.max(0.0) + read * read).sqrt());
                    let grey = normal();
                    let own = [chroma * normal(), 0.4 * chroma * normal(), chroma * normal()];
                    for c in 0..3 {
                        v[c] += sigma[c] * (grey + own[c]);
                    }
                }
                for c in 0..3 {
                    t[c] = (v[c] * 255.0 + 0.5).clamp(0.0, 255.0) as u8;
                }
            }
        },
    );
    out
}

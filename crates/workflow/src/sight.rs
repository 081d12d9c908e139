//! A photo that somebody looks at on a page: its tiles, the ways along its lines, what might be outlined around a place.
//!
//! Nothing here is a reading. The page draws with it; what is read is read by [`crate::read`].

use crate::propose::{Proposed, propose_on};
use crate::read::Decoded;
use crate::refusal::Refusal;
use crate::wire::{PlatesOut, read_joint};
use photo::evidence::{Cost, Evidence, Window};
use photo::marks::PlateMarks;
use photo::path::{LONGEST_MAP, map};
use photo::plates;
use photo::pyramid::{Plane, Pyramid, level_from_picture, picture_from_level};
use photo::tiles::{View, cut, levels};
use records::Hash;
use records::tiles::Tiles;
use std::collections::BTreeMap;
use std::path::Path;

/// A photo made ready for looking along its lines.
#[derive(Debug)]
pub struct Sight {
    /// The photo.
    pub decoded: Decoded,
    pyramid: Pyramid,
}

impl Sight {
    /// Makes a photo ready: halves its lightness until it is small.
    ///
    /// # Errors
    ///
    /// When the photo is too large to be looked along.
    pub fn of(decoded: Decoded) -> Result<Self, Refusal> {
        let photo = &decoded.photo;
        let plane = Plane {
            width: photo.width as usize,
            height: photo.height as usize,
            px: photo.lightness.clone(),
        };
        let pyramid = Pyramid::new(plane).map_err(|e| Refusal::new(&e, e.advice()))?;
        Ok(Self { decoded, pyramid })
    }

    /// Bytes that it takes in memory: colours, lightness, and its halved copies.
    #[must_use]
    pub fn bytes(&self) -> usize {
        let pixels = self.decoded.photo.lightness.len();
        3 * pixels + 2 * pixels + 2 * pixels * 4 / 3
    }

    /// The cheapest ways along visible lines to a set point, for a page that walks them back from its cursor.
    ///
    /// A header of 16 bytes: level, first column, first row, columns, rows, each as two bytes, the lesser first, and six
    /// zeros; then for each pixel of that window the step towards the point ([`photo::path::STEPS`]; 255: none). `reach` is
    /// the longer side, in pixels of the photo, of what is to be outlined: it says at which size the lines are looked at.
    ///
    /// # Errors
    ///
    /// When the point lies outside the photo, or `reach` is no length.
    pub fn ways(&self, to: [f64; 2], reach: f64) -> Result<Vec<u8>, Refusal> {
        let picture = self.pyramid.picture();
        let inside = |v: f64, side: usize| v >= -0.5 && v <= side as f64 - 0.5;
        if !inside(to[0], picture.width) || !inside(to[1], picture.height) {
            return Err(Refusal::new(
                format!("the point {:.0}, {:.0} lies outside the photo", to[0], to[1]),
                format!("set it within {} x {} pixels", picture.width, picture.height),
            ));
        }
        if !(reach.is_finite() && reach > 0.0) {
            return Err(Refusal::new("the reach is no length", "ask with reach=600, in pixels"));
        }
        let level = self.pyramid.level_for(reach);
        let half = LONGEST_MAP as f64 / 2.0;
        let middle = level_from_picture(level, to);
        let corner = |by: f64| picture_from_level(level, middle.map(|v| v + by));
        // The window's own margin brings it to the longest side of a map.
        let around = [corner(-half * 2.0 / 3.0), corner(half * 2.0 / 3.0)];
        let window = Window::around(&self.pyramid, level, &around);
        let evidence = Evidence::new(&self.pyramid, window);
        let map = map(&Cost::prior(&evidence), to, None);
        let Window { level, x0, y0, w, h } = map.window;
        let mut bytes = Vec::with_capacity(16 + map.directions.len());
        for number in [level, x0, y0, w, h] {
            let number = u16::try_from(number).map_err(|_| {
                Refusal::new("the photo is too wide for this", "crop it to the weld")
            })?;
            bytes.extend(number.to_le_bytes());
        }
        bytes.extend([0; 6]);
        bytes.extend(map.directions);
        Ok(bytes)
    }

    /// Plates that the photo might show, or (`marked`) faces drawn to the edges beside their rough points. `rules`: two
    /// places on the edge of each rule that lies in the photo.
    ///
    /// # Errors
    ///
    /// When the joint or a face is none that is marked, and when no such edges are seen.
    pub fn plates(
        &self,
        joint: &str,
        both: bool,
        rules: &[[[f64; 2]; 2]],
        marked: Option<&BTreeMap<String, Vec<[f64; 2]>>>,
    ) -> Result<PlatesOut, Refusal> {
        let joint = read_joint(joint)?;
        let proposed = match marked {
            Some(marked) => plates::draw_to_edges(&self.pyramid, &faces_of(marked)?),
            None => plates::propose(&self.pyramid, joint, both, rules),
        };
        let proposed = proposed.map_err(|e| Refusal::new(&e, e.advice()).in_field("plates"))?;
        // A tenth of a pixel is finer than any edge is placed.
        let tidy = |p: &[f64; 2]| p.map(|v| (v * 10.0).round() / 10.0);
        let faces = proposed.plates.faces().into_iter().filter(|(_, points)| !points.is_empty());
        Ok(PlatesOut {
            plates: faces.map(|(name, points)| (name, points.iter().map(tidy).collect())).collect(),
            caution: proposed.caution,
        })
    }

    /// Outlines that the fused zone around a place might have.
    ///
    /// # Errors
    ///
    /// When the place lies outside the photo.
    pub fn inside(&self, name: &str, place: [f64; 2]) -> Result<Proposed, Refusal> {
        propose_on(&self.pyramid, &self.decoded.photo, name, place)
    }
}

/// Faces by the names that they have in a reading file.
fn faces_of(marked: &BTreeMap<String, Vec<[f64; 2]>>) -> Result<PlateMarks, Refusal> {
    let mut plates = PlateMarks::default();
    for (name, points) in marked {
        let place = plates.faces().iter().position(|(field, _)| field == name);
        let face = place.and_then(|at| plates.faces_mut().into_iter().nth(at));
        let Some(face) = face else {
            return Err(Refusal::new(
                format!("'{name}' is no face of a plate"),
                "say surface, bottom, base, upright, upright_left, upright_right or upright_far",
            )
            .in_field("plates"));
        };
        face.clone_from(points);
    }
    Ok(plates)
}

/// How many levels of tiles a photo of this size has.
#[must_use]
pub fn tile_levels(width: u32, height: u32) -> u32 {
    levels(width, height)
}

/// Tiles of a study's photos, in a throw-away file beside it.
#[derive(Debug)]
pub struct TileStore(Tiles);

impl TileStore {
    /// Opens the tiles beside a study, or begins anew.
    ///
    /// # Errors
    ///
    /// When the file can neither be used nor replaced.
    pub fn beside(study: &Path) -> Result<Self, Refusal> {
        Ok(Self(Tiles::beside(study)?))
    }

    /// One tile as JPEG, if its photo was cut. `at`: level, column, row.
    ///
    /// # Errors
    ///
    /// When the file cannot be read.
    pub fn tile(&self, photo: Hash, local: bool, at: [u32; 3]) -> Result<Option<Vec<u8>>, Refusal> {
        let [level, x, y] = at;
        Ok(self.0.tile(photo, [u32::from(local), level, x, y])?)
    }

    /// The last level of a photo that was cut: one small picture.
    ///
    /// # Errors
    ///
    /// When the file cannot be read.
    pub fn last_level(&self, photo: Hash) -> Result<Option<u32>, Refusal> {
        Ok(self.0.last_level(photo, 0)?)
    }

    /// Whether a photo was cut in this view.
    ///
    /// # Errors
    ///
    /// When the file cannot be read.
    pub fn has(&self, photo: Hash, local: bool) -> Result<bool, Refusal> {
        Ok(self.0.has(photo, u32::from(local))?)
    }

    /// Cuts a photo and keeps its tiles.
    ///
    /// # Errors
    ///
    /// When a tile cannot be packed, or the disk is full.
    pub fn cut(&self, photo: Hash, local: bool, decoded: &Decoded) -> Result<(), Refusal> {
        let view = if local { View::Local } else { View::Plain };
        let tiles = cut(&decoded.photo, view).map_err(|e| Refusal::new(&e, e.advice()))?;
        let tiles: Vec<_> =
            tiles.into_iter().map(|t| ([t.level, t.at[0], t.at[1]], t.jpeg)).collect();
        Ok(self.0.keep(photo, u32::from(local), &tiles)?)
    }
}

//! Pictures made ready for the nowcast: without clutter, on square cells of about a kilometre.

use std::{
    fmt,
    sync::{Arc, Mutex, PoisonError},
};

use fairspell_ground::Reading;
use fairspell_nowcast::{Grid, RadarRemark, RainField, Regrid, clutter::without_clutter};
use jiff::Timestamp;

/// How many grids' ways are remembered. Each takes the memory of two pictures.
const WAYS_MAX: usize = 4;

/// What a file of pictures holds, as it was read or made ready.
#[derive(Debug, Clone, Default)]
pub(crate) struct Pictures {
    pub(crate) fields: Vec<RainField>,
    pub(crate) remarks: Vec<RadarRemark>,
    /// How pictures came to the grid that they have; none where they have that of the file.
    pub(crate) regrids: Vec<Arc<Regrid>>,
}

impl From<Reading<Vec<RainField>, RadarRemark>> for Pictures {
    fn from(reading: Reading<Vec<RainField>, RadarRemark>) -> Self {
        Pictures { fields: reading.value, remarks: reading.remarks, regrids: Vec::new() }
    }
}

impl Pictures {
    /// Without clutter, and on a grid that suits the nowcast. Where no such grid can be made, on the
    /// one that they have.
    pub(crate) fn ready(self, ways: &Ways) -> Self {
        let mut ready = Pictures { remarks: self.remarks, ..Pictures::default() };
        for field in self.fields {
            let mended = without_clutter(field);
            ready.remarks.extend(mended.remarks);
            let regridded = ways.of(&mended.value.grid).and_then(|regrid| {
                let field = regrid.field(&mended.value)?;
                Some((field, regrid))
            });
            let Some((field, regrid)) = regridded else {
                ready.fields.push(mended.value);
                continue;
            };
            ready.fields.push(field);
            if !ready.regrids.iter().any(|known| Arc::ptr_eq(known, &regrid)) {
                ready.regrids.push(regrid);
            }
        }
        ready
    }
}

/// The ways from the grids of pictures to those of the nowcast, so that each is worked out once.
#[derive(Default)]
pub(crate) struct Ways {
    /// The one used last stands last.
    known: Mutex<Vec<Arc<Regrid>>>,
}

impl Ways {
    /// What a grid needs before the nowcast; `None` when it is well as it is.
    fn of(&self, grid: &Grid) -> Option<Arc<Regrid>> {
        if let Some(known) = self.take(grid) {
            return Some(self.keep(known));
        }
        // Not under the lock: the work is shared out to threads that may come here for another
        // picture meanwhile. At worst two of them do the same.
        Some(self.keep(Arc::new(Regrid::for_nowcast(grid)?)))
    }

    fn take(&self, grid: &Grid) -> Option<Arc<Regrid>> {
        let known = self.known.lock().unwrap_or_else(PoisonError::into_inner);
        known.iter().find(|known| known.source().matches(grid)).cloned()
    }

    /// Keeps one as the newest, or finds that another thread was quicker.
    fn keep(&self, regrid: Arc<Regrid>) -> Arc<Regrid> {
        let mut known = self.known.lock().unwrap_or_else(PoisonError::into_inner);
        let same = known.iter().position(|other| other.source().matches(regrid.source()));
        let regrid = same.map_or(regrid, |index| known.remove(index));
        if known.len() >= WAYS_MAX {
            known.remove(0);
        }
        known.push(Arc::clone(&regrid));
        regrid
    }
}

/// Clutter that was taken out of pictures.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Mended {
    /// The pictures, oldest first, each once.
    pub pictures: Vec<MendedPicture>,
}

/// Clutter that was taken out of one picture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MendedPicture {
    /// The picture's moment.
    pub valid_time: Timestamp,
    /// How many cells showed something else than rain.
    pub cells: usize,
    /// Those of them that count as not measured now; the others took the rate around them.
    pub not_measured: usize,
    /// The highest rate among them, mm/h.
    pub largest_mm_h: f32,
}

impl Mended {
    /// Takes a remark, if it is one about clutter, and gives it back otherwise.
    pub(crate) fn take(&mut self, remark: RadarRemark) -> Option<RadarRemark> {
        match remark {
            RadarRemark::Clutter { valid_time, cells, not_measured, largest_mm_h } => {
                self.add(MendedPicture { valid_time, cells, not_measured, largest_mm_h });
                None
            }
            other => Some(other),
        }
    }

    /// Takes up a picture that it does not have yet.
    pub fn add(&mut self, picture: MendedPicture) {
        let moment = |known: &MendedPicture| known.valid_time.cmp(&picture.valid_time);
        if let Err(index) = self.pictures.binary_search_by(moment) {
            self.pictures.insert(index, picture);
        }
    }

    /// Cells in all pictures together.
    pub fn cells(&self) -> usize {
        self.pictures.iter().map(|picture| picture.cells).sum()
    }

    /// Those of them that count as not measured.
    pub fn not_measured(&self) -> usize {
        self.pictures.iter().map(|picture| picture.not_measured).sum()
    }

    /// The highest rate among them, mm/h; 0 when there are none.
    pub fn largest_mm_h(&self) -> f32 {
        self.pictures.iter().map(|picture| picture.largest_mm_h).fold(0.0, f32::max)
    }

    /// The picture that had the most; of several the newest.
    pub fn worst(&self) -> Option<&MendedPicture> {
        self.pictures.iter().max_by_key(|picture| picture.cells)
    }
}

/// All of it as one phrase: a dozen pictures of one radar have the same ships and turbines.
impl fmt::Display for Mended {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Some(worst) = self.worst() else { return f.write_str("no clutter") };
        write!(
            f,
            "{} cells of clutter (up to {:.0} mm/h) mended in {} pictures, most at {} ({}); {} of \
             them taken as not measured",
            self.cells(),
            self.largest_mm_h(),
            self.pictures.len(),
            worst.valid_time,
            worst.cells,
            self.not_measured()
        )
    }
}

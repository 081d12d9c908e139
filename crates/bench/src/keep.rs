//! A study that is open: one thread writes, several read, and what is kept in memory of its photos and claims.
//!
//! ```text
//!   pages ── write ──> one thread with the writing connection      answers 'saved' after the disk has it
//!         └─ look ───> a pool of reading connections               none waits for a writer
//!         └─ sight ──> decoded photos, the latest few, two decodes at a time
//! ```

use crate::failed::Failed;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError, mpsc};
use tokio::sync::{OnceCell, Semaphore, oneshot};
use tokio::task::spawn_blocking;
use workflow::claim::file::Claimed;
use workflow::read::decoded;
use workflow::refusal::Refusal;
use workflow::sight::{Sight, TileStore, tile_levels};
use workflow::study::{Hash, RecordId, Study};

/// Reading connections that are kept open.
const READERS: usize = 6;
/// Photos are let go, the longest unused first, when all take more than this.
const MOST_BYTES: usize = 700 << 20;
/// Photos that are decoded at a time: each takes up to a third of a gigabyte.
const DECODES: usize = 2;
/// Claims whose answers are kept.
const MOST_CLAIMS: usize = 8;

type Work = Box<dyn FnOnce(&Study) + Send>;
type Cell = Arc<OnceCell<Arc<Sight>>>;
/// A claim's record, its place in the chain, and the head that it was worked out at.
type Moment = (RecordId, i64, String);

/// An open study.
pub(crate) struct Open {
    path: PathBuf,
    /// None at the very end.
    writer: Option<mpsc::Sender<Work>>,
    writing: Option<std::thread::JoinHandle<()>>,
    readers: Mutex<Vec<Study>>,
    sights: Mutex<Vec<(Hash, Cell)>>,
    decodes: Semaphore,
    /// Readings that run at a time: each uses every core for a moment.
    reads: Semaphore,
    tiles: TileStore,
    claims: Mutex<BTreeMap<Moment, Arc<Claimed>>>,
}

fn locked<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

/// What is said when a part of the bench is gone.
fn gone() -> Refusal {
    Refusal::new("the bench is closing", "start it again: what was saved is safe")
}

impl Drop for Open {
    /// Waits until what was written has come into the file itself: somebody may copy it at once.
    fn drop(&mut self) {
        locked(&self.readers).clear();
        drop(self.writer.take());
        let own = |writing: &std::thread::JoinHandle<()>| {
            writing.thread().id() == std::thread::current().id()
        };
        if let Some(writing) = self.writing.take().filter(|w| !own(w)) {
            drop(writing.join());
        }
    }
}

impl Open {
    /// Opens a study to write and read.
    ///
    /// # Errors
    ///
    /// As [`Study::open`].
    pub(crate) fn file(path: &Path) -> Result<Self, Refusal> {
        Self::of(Study::open(path)?)
    }

    /// Takes over a study that is open.
    pub(crate) fn of(study: Study) -> Result<Self, Refusal> {
        let path = study.path().to_path_buf();
        let tiles = TileStore::beside(&path)?;
        let (writer, works) = mpsc::channel::<Work>();
        let writing = std::thread::Builder::new()
            .name("study writer".to_owned())
            .spawn(move || {
                for work in works {
                    // A fault in one work must not end the writing of all others; the study takes back what it had begun.
                    let work = std::panic::AssertUnwindSafe(|| work(&study));
                    drop(std::panic::catch_unwind(work));
                }
                drop(study.close());
            })
            .map_err(|e| {
                Refusal::new(format!("no thread can be started: {e}"), "close other programs")
            })?;
        let cores = std::thread::available_parallelism().map_or(2, usize::from);
        Ok(Self {
            path,
            writer: Some(writer),
            writing: Some(writing),
            readers: Mutex::default(),
            sights: Mutex::default(),
            decodes: Semaphore::new(DECODES),
            reads: Semaphore::new(cores),
            tiles,
            claims: Mutex::default(),
        })
    }

    /// The study file.
    pub(crate) fn path(&self) -> &Path {
        &self.path
    }

    fn send(&self, work: Work) -> Result<(), Refusal> {
        let writer = self.writer.as_ref().ok_or_else(gone)?;
        writer.send(work).map_err(|_| gone())
    }

    /// Writes, after all that was to be written before.
    pub(crate) async fn write<T: Send + 'static, E: Into<Failed> + Send + 'static>(
        &self,
        work: impl FnOnce(&Study) -> Result<T, E> + Send + 'static,
    ) -> Result<T, Failed> {
        let (answer, answered) = oneshot::channel();
        let work: Work = Box::new(move |study| drop(answer.send(work(study))));
        self.send(work)?;
        answered
            .await
            .map_err(|_| {
                Refusal::new("the change failed and was taken back", "report this as a fault")
            })?
            .map_err(Into::into)
    }

    /// The same for works that are no part of a page's answer. Never call it from the bench's own threads.
    pub(crate) fn write_now<T: Send + 'static, E: Into<Failed> + Send + 'static>(
        &self,
        work: impl FnOnce(&Study) -> Result<T, E> + Send + 'static,
    ) -> Result<T, Failed> {
        let (answer, answered) = mpsc::channel();
        let work: Work = Box::new(move |study| drop(answer.send(work(study))));
        self.send(work)?;
        answered.recv().map_err(|_| gone())?.map_err(Into::into)
    }

    /// Looks something up.
    pub(crate) async fn look<T: Send + 'static>(
        self: &Arc<Self>,
        work: impl FnOnce(&Study) -> Result<T, Refusal> + Send + 'static,
    ) -> Result<T, Failed> {
        let open = Arc::clone(self);
        let done = spawn_blocking(move || open.look_now(work)).await;
        Ok(done.map_err(|_| fault())??)
    }

    /// The same on this thread.
    pub(crate) fn look_now<T>(
        &self,
        work: impl FnOnce(&Study) -> Result<T, Refusal>,
    ) -> Result<T, Refusal> {
        let idle = locked(&self.readers).pop();
        let study = match idle {
            Some(study) => study,
            None => Study::open_to_read(&self.path)?,
        };
        let done = work(&study);
        let mut idle = locked(&self.readers);
        if idle.len() < READERS {
            idle.push(study);
        }
        done
    }

    /// Works on something heavy, as many at a time as there are cores.
    pub(crate) async fn heavy<T: Send + 'static>(
        self: &Arc<Self>,
        work: impl FnOnce(&Self) -> Result<T, Refusal> + Send + 'static,
    ) -> Result<T, Failed> {
        let _turn = self.reads.acquire().await.map_err(|_| gone())?;
        let open = Arc::clone(self);
        let done = spawn_blocking(move || work(&open)).await;
        Ok(done.map_err(|_| fault())??)
    }

    /// A photo, decoded once.
    pub(crate) async fn sight(self: &Arc<Self>, photo: Hash) -> Result<Arc<Sight>, Failed> {
        let cell = {
            let mut sights = locked(&self.sights);
            let at = sights.iter().position(|(hash, _)| *hash == photo);
            let cell = at.map_or_else(|| (photo, Cell::default()), |at| sights.remove(at));
            sights.push(cell.clone());
            cell.1
        };
        let sight = cell
            .get_or_try_init(|| async {
                let _turn = self.decodes.acquire().await.map_err(|_| gone())?;
                let open = Arc::clone(self);
                let done = spawn_blocking(move || {
                    let bytes = open.look_now(|study| study.photo(photo))?;
                    Sight::of(decoded(&bytes)?).map(Arc::new)
                })
                .await;
                Ok::<_, Failed>(done.map_err(|_| fault())??)
            })
            .await?;
        self.let_go();
        Ok(Arc::clone(sight))
    }

    /// Decodes something, two at a time.
    pub(crate) async fn decode<T: Send + 'static>(
        &self,
        work: impl FnOnce() -> Result<T, Refusal> + Send + 'static,
    ) -> Result<T, Failed> {
        let _turn = self.decodes.acquire().await.map_err(|_| gone())?;
        Ok(spawn_blocking(work).await.map_err(|_| fault())??)
    }

    /// The level of a photo's tiles that is one small picture.
    pub(crate) async fn smallest(self: &Arc<Self>, photo: Hash) -> Result<u32, Failed> {
        let open = Arc::clone(self);
        let known = spawn_blocking(move || open.tiles.last_level(photo));
        if let Some(level) = known.await.map_err(|_| fault())?? {
            return Ok(level);
        }
        let sight = self.sight(photo).await?;
        Ok(tile_levels(sight.decoded.photo.width, sight.decoded.photo.height) - 1)
    }

    /// Lets photos go until the rest takes little enough; the latest one stays whatever it takes.
    fn let_go(&self) {
        let mut sights = locked(&self.sights);
        let bytes = |(_, cell): &(Hash, Cell)| cell.get().map_or(0, |sight| sight.bytes());
        let mut all: usize = sights.iter().map(bytes).sum();
        while all > MOST_BYTES && sights.len() > 1 {
            all -= bytes(&sights.remove(0));
        }
    }

    /// A tile of a photo, which is cut when the first one is asked for.
    pub(crate) async fn tile(
        self: &Arc<Self>,
        photo: Hash,
        local: bool,
        at: [u32; 3],
    ) -> Result<Option<Vec<u8>>, Failed> {
        let open = Arc::clone(self);
        let found = spawn_blocking(move || match open.tiles.tile(photo, local, at)? {
            Some(tile) => Ok::<_, Refusal>((Some(tile), true)),
            None => Ok((None, open.tiles.has(photo, local)?)),
        });
        let (tile, cut) = found.await.map_err(|_| fault())??;
        if tile.is_some() || cut {
            return Ok(tile);
        }
        let sight = self.sight(photo).await?;
        let _turn = self.decodes.acquire().await.map_err(|_| gone())?;
        let open = Arc::clone(self);
        let made = spawn_blocking(move || {
            // Whoever waited for the turn finds it cut.
            if !open.tiles.has(photo, local)? {
                open.tiles.cut(photo, local, &sight.decoded)?;
            }
            open.tiles.tile(photo, local, at)
        });
        Ok(made.await.map_err(|_| fault())??)
    }

    /// The answer of a claim, if it was worked out for just this state of the study.
    pub(crate) fn answer(&self, of: &Moment) -> Option<Arc<Claimed>> {
        locked(&self.claims).get(of).map(Arc::clone)
    }

    /// Keeps the answer of a claim.
    pub(crate) fn keep_answer(&self, of: Moment, claimed: Arc<Claimed>) {
        let mut claims = locked(&self.claims);
        claims.insert(of, claimed);
        while claims.len() > MOST_CLAIMS {
            claims.pop_first();
        }
    }
}

/// What is said when something of ours broke.
pub(crate) fn fault() -> Refusal {
    Refusal::new("the program has a fault here", "report what you did; what was saved is safe")
}

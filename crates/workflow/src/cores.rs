//! Work on many files at once.

use crate::refusal::Refusal;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Works through a list on all cores, and gives the answers in its order.
pub(crate) fn side_by_side<T: Sync, A: Send>(
    list: &[T],
    work: impl Fn(&T) -> Result<A, Refusal> + Sync,
) -> Result<Vec<A>, Refusal> {
    let workers = std::thread::available_parallelism().map_or(1, usize::from).min(list.len());
    let next = AtomicUsize::new(0);
    let turn = || {
        let mut mine = Vec::new();
        while let Some((i, item)) = {
            let i = next.fetch_add(1, Ordering::Relaxed);
            list.get(i).map(|item| (i, item))
        } {
            mine.push((i, work(item)));
        }
        mine
    };
    let mut all = Vec::with_capacity(list.len());
    std::thread::scope(|scope| {
        let hands: Vec<_> = (0..workers).map(|_| scope.spawn(turn)).collect();
        for hand in hands {
            match hand.join() {
                Ok(mine) => all.extend(mine),
                Err(fault) => std::panic::resume_unwind(fault),
            }
        }
    });
    all.sort_by_key(|(i, _)| *i);
    all.into_iter().map(|(_, answer)| answer).collect()
}

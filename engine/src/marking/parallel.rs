//! The same work on many hypotheses, over the machine's cores, with results in the order of the input:
//! nothing is added up across threads, so no bit depends on how many there are.

use std::sync::{Mutex, PoisonError};
use std::thread;

/// Items that a thread takes at a time: neighbours cost about the same, and some cost much more than others.
const HANDFUL: usize = 4;

/// Applies `work` to every item; one alone wants no threads.
///
/// # Errors
/// The first error in the order of the items.
pub(crate) fn each<T: Send, R: Send, E: Send>(
    items: Vec<T>,
    work: impl Fn(T) -> Result<R, E> + Sync,
) -> Result<Vec<R>, E> {
    if items.len() < 2 {
        return items.into_iter().map(work).collect();
    }
    let threads = thread::available_parallelism().map_or(1, std::num::NonZero::get);
    let mut results: Vec<Option<Result<R, E>>> = items.iter().map(|_| None).collect();
    let left = Mutex::new(items.into_iter().enumerate());
    let take = || -> Vec<(usize, T)> {
        let mut left = left.lock().unwrap_or_else(PoisonError::into_inner);
        left.by_ref().take(HANDFUL).collect()
    };
    let work_through = || {
        let mut done = Vec::new();
        loop {
            let some = take();
            if some.is_empty() {
                return done;
            }
            done.extend(some.into_iter().map(|(place, item)| (place, work(item))));
        }
    };
    thread::scope(|scope| {
        let handles: Vec<_> = (0..threads).map(|_| scope.spawn(work_through)).collect();
        for handle in handles {
            match handle.join() {
                Ok(done) => {
                    for (place, result) in done {
                        results[place] = Some(result);
                    }
                }
                Err(panic) => std::panic::resume_unwind(panic),
            }
        }
    });
    results.into_iter().flatten().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn results_keep_the_order_of_the_items() {
        let doubled = each((0..1000).collect(), |n: u32| Ok::<u32, ()>(n * 2));
        assert_eq!(doubled, Ok((0..1000).map(|n| n * 2).collect()));
        assert_eq!(
            each(vec![1, 2, 3], |n: u32| if n == 2 { Err(n) } else { Ok(n) }),
            Err(2)
        );
    }
}

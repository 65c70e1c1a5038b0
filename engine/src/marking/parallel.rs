//! The same work on many hypotheses, over the machine's cores, with results in the order of the input:
//! nothing is added up across threads, so no bit depends on how many there are.

use std::thread;

/// Applies `work` to every item.
///
/// # Errors
/// The first error in the order of the items.
pub(super) fn each<T: Send, R: Send, E: Send>(
    items: Vec<T>,
    work: impl Fn(T) -> Result<R, E> + Sync,
) -> Result<Vec<R>, E> {
    let threads = thread::available_parallelism().map_or(1, std::num::NonZero::get);
    let share = items.len().div_ceil(threads).max(1);
    let mut shares: Vec<Vec<T>> = Vec::new();
    let mut items = items.into_iter().peekable();
    while items.peek().is_some() {
        shares.push(items.by_ref().take(share).collect());
    }
    thread::scope(|scope| {
        let work = &work;
        let handles: Vec<_> = shares
            .into_iter()
            .map(|share| {
                scope.spawn(move || share.into_iter().map(work).collect::<Result<Vec<R>, E>>())
            })
            .collect();
        let mut results = Vec::new();
        for handle in handles {
            match handle.join() {
                Ok(part) => results.extend(part?),
                Err(panic) => std::panic::resume_unwind(panic),
            }
        }
        Ok(results)
    })
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

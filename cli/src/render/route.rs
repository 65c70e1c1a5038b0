//! The cheap way to prove a fault, as a debrief tells it.

use groundside_engine::marking::{Debrief, RouteEnd, Trial};

use crate::style::{Page, Tone};

/// A repair in strict words as one reads it: what is explained is no repair.
pub(super) fn repair_in_words(words: &str) -> String {
    match words
        .strip_suffix(" explain")
        .zip(words.strip_prefix("repair "))
    {
        Some((all, _)) => all.replacen("repair", "explain", 1),
        None => words.to_owned(),
    }
}

/// What a repair explains in strict words, where it explains something, as one says it.
fn explained(words: &str) -> Option<String> {
    let id = words.strip_prefix("repair ")?.strip_suffix(" explain")?;
    Some(id.replace('-', " "))
}

/// How likely a repair is: what is only to be explained is called that.
fn likely(repair: &Trial) -> String {
    let percent = repair.belief * 100.0;
    match explained(&repair.repair) {
        Some(what) => format!("{percent:.0} % that the {what} only wants explaining"),
        None => format!("{percent:.0} % for {}", repair.repair),
    }
}

/// The way, step by step, and what it ends with.
pub(super) fn route(page: &mut Page, debrief: &Debrief) {
    if debrief.route.is_empty() && debrief.route_ends.is_empty() {
        return;
    }
    page.add(Tone::Plain, "");
    page.add(
        Tone::Strong,
        "A cheap way to prove it: minutes, reading here, reading on a sound vehicle",
    );
    page.add(
        Tone::Plain,
        "(one that is as on a sound vehicle speaks too, against all that would have shown)",
    );
    for (index, step) in debrief.route.iter().enumerate() {
        let likeliest = step.likeliest.as_ref().map_or_else(String::new, |repair| {
            format!("; by then {}", likely(repair))
        });
        page.hanging(
            Tone::Plain,
            format!(
                "{:>3} {} ({} min, {} so far): {}; sound: {}{likeliest}",
                index + 1,
                step.check,
                step.minutes,
                step.so_far,
                step.here,
                step.sound,
            ),
            "      ",
        );
        for end in debrief
            .route_ends
            .iter()
            .filter(|end| end.after == index + 1)
        {
            route_end(page, end);
        }
    }
    for end in debrief.route_ends.iter().filter(|end| end.after == 0) {
        route_end(page, end);
    }
}

/// What a route ends with: a proof, or the repairs that try it out.
fn route_end(page: &mut Page, end: &RouteEnd) {
    let tries: Vec<String> = end
        .repairs
        .iter()
        .map(|repair| {
            let words = match explained(&repair.repair) {
                Some(what) if end.proven => format!("the {what} only wants explaining"),
                Some(what) => format!("explaining the {what}"),
                None => repair.repair.clone(),
            };
            format!(
                "{words} ({:.0} %, {} min)",
                repair.belief * 100.0,
                repair.minutes
            )
        })
        .collect();
    let text = match (end.proven, &tries[..]) {
        (_, []) => "no check worth making says more".to_owned(),
        (true, [one, ..]) => format!("proven: {one}"),
        (false, [one]) => format!("no check worth making says more: try {one}"),
        (false, _) => format!(
            "no check worth making tells these apart; try {}",
            tries.join(", then ")
        ),
    };
    page.hanging(Tone::Plain, format!("    {text}"), "      ");
}

#[cfg(test)]
mod tests {
    use super::*;
    use groundside_engine::quantity::Minutes;

    #[test]
    fn what_is_no_fault_is_said_to_want_explaining() {
        let trial = |repair: &str, belief| Trial {
            repair: repair.to_owned(),
            belief,
            minutes: Minutes::from_hundredths(200),
        };
        let (battery, brushes) = ("repair battery explain", "repair motor brushes");
        assert_eq!(
            likely(&trial(battery, 0.48)),
            "48 % that the battery only wants explaining"
        );
        assert_eq!(
            likely(&trial(brushes, 0.35)),
            "35 % for repair motor brushes"
        );
        let end = |proven, repairs| {
            let mut page = Page::default();
            let after = 1;
            route_end(
                &mut page,
                &RouteEnd {
                    after,
                    proven,
                    repairs,
                },
            );
            page.text().split_whitespace().collect::<Vec<_>>().join(" ")
        };
        assert_eq!(
            end(true, vec![trial(battery, 0.96)]),
            "proven: the battery only wants explaining (96 %, 2.0 min)"
        );
        let two = vec![trial("repair left-arm explain", 0.6), trial(brushes, 0.3)];
        assert!(
            end(false, two).contains("try explaining the left arm (60 %, 2.0 min), then repair")
        );
    }
}

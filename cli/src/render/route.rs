//! The cheap way to prove a fault, as a debrief tells it.

use groundside_engine::marking::{Debrief, RouteEnd};

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
        let likeliest = step.likeliest.as_ref().map_or_else(String::new, |likely| {
            let percent = likely.belief * 100.0;
            format!(
                "; by then {percent:.0} % for {}",
                repair_in_words(&likely.repair)
            )
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
            let words = repair_in_words(&repair.repair);
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

//! The first screen of an attempt: at most twelve lines.

use groundside_engine::attempt::Assignment;

use crate::style::{Page, Tone, sentence};

/// Most lines of the first screen.
const LINES_MAX: usize = 12;

/// Before any work: what always holds.
const SAFETY: &str = "Key off before hands go near linkage or arms; they start without warning. The \
vehicle maker's manual and local rules come first.";

/// The first screen: unit, complaint, history, weather, place, tools, help, allowance, safety, and where
/// the record is kept if that is to be told.
pub(crate) fn first(assignment: &Assignment, complaint: &str, kept: Option<&str>) -> Page {
    let (scenario, vehicle) = (&assignment.scenario, &assignment.sound);
    // What the title says before any detail: `fleet van`.
    let kind = vehicle.title.split(',').next().unwrap_or(&vehicle.title);
    let mut page = Page::default();
    page.add(
        Tone::Strong,
        format!(
            "{}. {}, {kind}. Seed {}.",
            scenario.title,
            sentence(&scenario.unit),
            assignment.seed.0
        ),
    );
    page.add(Tone::Plain, format!("Driver: \"{}\"", one_line(complaint)));
    let history = one_line(&scenario.history);
    let mut rest = Page::default();
    rest.add(
        Tone::Plain,
        format!(
            "{} You are in the {}.",
            one_line(&scenario.weather),
            vehicle
                .layout
                .places
                .first()
                .map_or("workshop", |place| place.title.as_str())
        ),
    );
    let helper = if scenario.helper {
        "a helper for the controls"
    } else {
        "nobody to help"
    };
    rest.add(
        Tone::Plain,
        format!(
            "Tools: meter, clamp, hand tools, {helper}. Allowed: {} min; no mark hangs on it. `help` shows the commands.",
            scenario.allowance
        ),
    );
    rest.add(Tone::Caution, SAFETY);
    if let Some(kept) = kept {
        // A path is not wrapped, so that it can be copied.
        rest.row(format!("Record, kept as you go: {kept}"));
    }
    let mut told = Page::of(Tone::Plain, &history);
    let room = LINES_MAX.saturating_sub(page.0.len() + rest.0.len());
    if told.0.len() > room {
        told.cut(Tone::Plain, room.saturating_sub(1));
        told.add(Tone::Quiet, "(more in `data history`)");
    }
    page.extend(told);
    page.extend(rest);
    page
}

/// The text on one line.
pub(crate) fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use groundside_engine::random::Seed;

    use super::*;
    use crate::files::{SCENARIOS, scenario};
    use crate::style::WIDTH;

    #[test]
    fn the_first_screen_is_at_most_twelve_lines_of_eighty() {
        for (id, _) in SCENARIOS {
            let loaded = scenario(id, None).unwrap();
            let assignment = Assignment {
                sound: loaded.vehicle.vehicle,
                scenario: loaded.scenario,
                seed: Seed(99_999),
                chosen: None,
            };
            for (symptom, complaint) in &assignment.scenario.complaints {
                let kept = "/home/apprentice/.local/state/groundside/rain.jsonl";
                let page = first(&assignment, complaint, Some(kept));
                assert!(page.text().contains(kept));
                assert!(
                    page.0.len() <= LINES_MAX,
                    "{id} {}: {}",
                    symptom.word(),
                    page.text()
                );
                assert!(page.0.iter().all(|line| line.text.chars().count() <= WIDTH));
            }
        }
    }
}

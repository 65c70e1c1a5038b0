//! Minutes in a debrief: those used, and the three that they are held beside, each with what it is.

use groundside_engine::attempt::Attempt;
use groundside_engine::marking::Debrief;
use groundside_engine::vehicle::Region;

use crate::style::{Page, Tone};

/// What the minutes allowed are, wherever they are told.
pub(super) const ALLOWED: &str =
    "what the workshop gives the job; going over is noted, and no mark hangs on it";

/// Where the minutes went.
pub(super) fn account(page: &mut Page, debrief: &Debrief, attempt: &Attempt) {
    let parts: f64 = debrief.lines.iter().map(|line| line.parts).sum();
    let parts = match parts {
        parts if parts > 0.0 => format!(" and parts worth {parts:.1} min"),
        _ => String::new(),
    };
    page.add(Tone::Plain, "");
    page.add(Tone::Strong, "Minutes");
    page.add(
        Tone::Plain,
        format!(
            "{} min used{parts}. Decisions were likely to cost {:.1} min more than needed, by what was known when \
             they were made; luck is left out.",
            debrief.minutes,
            debrief.lost.as_minutes(),
        ),
    );
    let mut told = |what: &str, minutes: f64, words: &str| {
        let text = format!("  {what:<8} {minutes:>6.1}  {words}.");
        page.hanging(Tone::Plain, text, "                   ");
    };
    let explained = debrief.region == Region::NoFault && debrief.second.is_none();
    let included = if explained {
        "telling the customer included"
    } else {
        "repair and seeing to it included"
    };
    let par = format!(
        "what the rule of most told per minute needs on this very vehicle, or on most that come with this complaint \
         where that is more, {included}. The mark for time holds beside it what decisions cost"
    );
    told("par", debrief.par.as_minutes(), &par);
    let allowed = attempt.assignment().scenario.allowance;
    told("allowed", allowed.as_minutes(), ALLOWED);
    let balance = &debrief.balance;
    let luck = if balance.luck < 0.0 { "saved" } else { "cost" };
    let repair = if balance.repair < 0.0 { "less" } else { "more" };
    let saved = if balance.saved >= 0.1 {
        format!(" and saved {:.1} beside that rule", balance.saved)
    } else {
        String::new()
    };
    let left = if balance.left >= 0.1 {
        format!(", and {:.1} min of work were left", balance.left)
    } else {
        String::new()
    };
    let expected = format!(
        "what this complaint takes on the average with parts, before a vehicle is touched. From there the repair that \
         was needed took {:.1} {repair}, decisions cost {:.1}{saved}, what is let pass {:.1}, luck {luck} {:.1}{left}",
        balance.repair.abs(),
        balance.lost,
        balance.let_pass,
        balance.luck.abs()
    );
    told("expected", balance.expected, &expected);
}

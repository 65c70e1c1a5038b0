//! How it is said in a workshop, beyond the words of the help page.

use super::*;

#[test]
fn engine_switches_and_glass() {
    check(&[
        ("start engine", "set alternator on"),
        ("start the engine", "set alternator on"),
        ("run the engine", "set alternator on"),
        ("stop engine", "set alternator off"),
        ("helper start engine", "helper set alternator on"),
        (
            "get the helper to stop the engine",
            "helper set alternator off",
        ),
        ("wipers on low", "set wiper-switch low"),
        ("turn the wipers off", "set wiper-switch off"),
        ("put wipers on high", "set wiper-switch high"),
        ("run the wipers on low", "set wiper-switch low"),
        ("stop wipers", "set wiper-switch off"),
        ("slow", "set wiper-switch low"),
        ("fast", "set wiper-switch high"),
        ("park the wipers", "set wiper-switch off"),
        ("put wiper in park", "set wiper-switch off"),
        (
            "ask helper to turn wiper off",
            "helper set wiper-switch off",
        ),
        (
            "get the helper to turn key on",
            "helper set ignition-switch on",
        ),
        (
            "tell the helper to put wiper low",
            "helper set wiper-switch low",
        ),
        ("feel glass", "feel windscreen"),
        ("feel the screen", "feel windscreen"),
        ("look at the glass", "look-at windscreen"),
        ("spray the screen", "wet-glass"),
        ("pour water on the glass", "wet-glass"),
        ("rj", "remove-jumper"),
        ("rj at mid-glass", "remove-jumper at-mid-glass"),
        (
            "take the jumper off at mid glass",
            "remove-jumper at-mid-glass",
        ),
        ("remove jumper halfway", "remove-jumper at-mid-glass"),
    ]);
}

#[test]
fn the_meter_and_its_leads() {
    check(&[
        ("battery voltage", "volts battery.pos battery.neg"),
        (
            "check volts across the battery",
            "volts battery.pos battery.neg",
        ),
        ("motor 53 volts", "volts motor.53 battery.neg"),
        (
            "test continuity motor plug 53 wiper switch 53",
            "continuity motor-plug.53 wiper-switch.53",
        ),
        (
            "check for continuity motor plug 53 wiper switch 53",
            "continuity motor-plug.53 wiper-switch.53",
        ),
        ("amps in motor 53", "clamp motor-53"),
        ("current in wire 53", "clamp motor-53"),
        (
            "measure current through the motor strap",
            "clamp motor-strap",
        ),
        ("trace current in motor strap", "trace motor-strap"),
        ("scope motor strap", "trace motor-strap"),
        ("use test lamp on motor 53", "lamp motor.53 battery.neg"),
        (
            "load bulb motor plug 53a",
            "load motor-plug.53a battery.neg",
        ),
        (
            "put a jumper from motor 53 to battery positive",
            "jumper motor.53 battery.pos",
        ),
        ("fit jumper motor 53 to bat+", "jumper motor.53 battery.pos"),
        (
            "put jumper lead on motor 53 and bat+",
            "jumper motor.53 battery.pos",
        ),
        ("take off the jumper", "remove-jumper"),
        ("disconnect jumper", "remove-jumper"),
        ("clip meter on motor 53", "clip motor.53 battery.neg"),
        ("leave the meter on motor 53", "clip motor.53 battery.neg"),
        ("attach meter to motor 53", "clip motor.53 battery.neg"),
        ("take meter off", "unclip"),
        ("take the clip off", "unclip"),
        ("change the fuse", "new-fuse"),
        ("new meter fuse", "new-fuse"),
        ("look at the ammeter", "ammeter"),
        ("inspect ammeter", "look-at ammeter"),
    ]);
}

#[test]
fn senses_parts_and_places() {
    check(&[
        ("feel motor for heat", "feel motor"),
        ("pull on motor plug 53", "tug motor-plug.53"),
        ("ask the driver what happened", "ask"),
        ("swap breaker for a good one", "substitute wiper-breaker"),
        ("try a new breaker", "substitute wiper-breaker"),
        ("fit a known good breaker", "substitute wiper-breaker"),
        ("swap back", "[only SwapBack]"),
        ("sb", "[only SwapBack]"),
        ("swap it back", "[only SwapBack]"),
        ("put the old part back", "[only SwapBack]"),
        ("put the old breaker back", "swap-back wiper-breaker"),
        ("put back the breaker", "swap-back wiper-breaker"),
        ("count wipes per minute", "count"),
        ("time the wipers", "count"),
        ("sound the horn", "try horn"),
        ("go to the engine bay", "go bonnet"),
        ("go to battery", "go bonnet"),
        ("get in the cab", "go cab"),
        ("open hood", "remove bonnet-lid"),
        ("take the bonnet off", "remove bonnet-lid"),
        ("put the bonnet back", "fit bonnet-lid"),
        ("do the nut up", "tighten crank-nut"),
        ("retighten the crank nut", "tighten crank-nut"),
        ("disconnect the battery", "unplug battery-strap"),
        ("reconnect the battery", "plug battery-strap"),
        ("unplug motor connector", "unplug motor-plug"),
        ("plug the motor back in", "plug motor-plug"),
        ("move the left arm by hand", "move left-arm"),
        ("wait a minute", "wait 60"),
        ("wait half a minute", "wait 30"),
        ("hold on 20 s", "wait 20"),
    ]);
}

#[test]
fn verdicts_repairs_and_paper() {
    check(&[
        (
            "conclude the motor plug has an open 53 terminal",
            "conclude motor-plug.53-open",
        ),
        ("it's the motor plug 53 open", "conclude motor-plug.53-open"),
        (
            "the fault is motor plug 53 open",
            "conclude motor-plug.53-open",
        ),
        (
            "i think it is motor plug 53 open",
            "conclude motor-plug.53-open",
        ),
        ("clean cowl ground", "repair cowl-ground mend"),
        ("clean battery posts", "repair battery mend"),
        ("clean battery positive post", "repair battery mend"),
        (
            "hand over complaint intermittent",
            "hand-over now-and-then none none",
        ),
        ("clean the battery terminals", "repair battery mend"),
        (
            "conclude battery positive post corroded",
            "conclude battery.pos-high-resistance",
        ),
        (
            "drop battery positive post",
            "volts battery.pos-post battery.pos",
        ),
        ("drop battery neg", "volts battery.neg battery.neg-post"),
        ("replace the brushes", "repair motor brushes"),
        ("fit new brushes", "repair motor brushes"),
        ("new motor", "repair motor replace"),
        ("fit a new motor", "repair motor replace"),
        ("change the breaker", "repair wiper-breaker replace"),
        ("grease the left pivot", "repair left-pivot free"),
        ("free up left pivot", "repair left-pivot free"),
        ("write down low is dead", "note low is dead"),
        ("hand over no fault found", "[only NoFaultFound]"),
        (
            "hand over no fault found ice",
            "hand-over none windscreen.iced none",
        ),
        (
            "hand over no fault found, flat battery, complaint slow",
            "hand-over slow battery.flat none",
        ),
        (
            "hand over complaint no low cause motor plug 53 open correction mended motor plug",
            "hand-over no-low motor-plug.53-open motor-plug",
        ),
        (
            "hand over complaint high is slow",
            "hand-over slow none none",
        ),
        ("finish", "[HandOverForm]"),
        ("give in", "give-up"),
        ("show me the wiring diagram", "[Diagram]"),
        ("show readings", "[Readings]"),
        ("how long", "[Where]"),
        ("help me", "[help ]"),
        ("help with volts", "[help volts]"),
        ("save", "[Pause]"),
    ]);
}

#[test]
fn several_commands_are_told_as_one_tells_them() {
    let both = "set ignition-switch on | set wiper-switch low";
    check(&[
        ("key on and wiper low", both),
        ("key on, wiper low", both),
        ("key on then wiper low", both),
        (
            "key on, wiper low, look and listen",
            "set ignition-switch on | set wiper-switch low | look blades | listen",
        ),
        // What is a list of things is no list of commands.
        ("volts motor 53, motor 31", "volts motor.53 motor.31"),
    ]);
    with(|language| {
        for line in [
            "feel motor and horn",
            "wiper low and high",
            "repair motor and look out",
        ] {
            assert!(language.read(line, None).is_err(), "{line}");
        }
    });
}

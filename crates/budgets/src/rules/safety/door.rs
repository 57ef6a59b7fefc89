//! Rules of the lock and of what releases it (trade.md §4, rules 1 to 7, 16, 17).

use super::super::{fine, found};
use super::{Fact, alternating, judge, lock};
use crate::rule::{Budget, Check, Verdict};
use models::pins::demand::DemandKind;
use station::choices::{
    Credentials, FailMode, Freshness, LockExit, LockKind, ReleaseAct, ReleasePlace, ReleaseTimer, Suppressor,
    Told,
};

pub(super) static CHECKS: &[Check] = &[
    Check {
        budget: Budget::Safety,
        code: "safety.release-outdoors",
        tries: &["release.place"],
        look: |plan, _| {
            let s = &plan.station;
            if !lock(plan) {
                return fine();
            }
            judge(
                &[
                    Fact {
                        is_so: match s.release.place {
                            ReleasePlace::NotSaid => None,
                            place => Some(place == ReleasePlace::Indoors),
                        },
                        path: "release.place",
                        wrong: "the unit that opens the lock hangs outdoors",
                    },
                    Fact {
                        is_so: s.release.through.answer().map(|through| !through),
                        path: "release.through_station",
                        wrong: "the lock is wired through, fed by or keyed alike with the outdoor station",
                    },
                ],
                "whoever unscrews the station, or joins its wires, must not open the door",
                "a unit of its own indoors, with its own supply and its own key; no release terminals outside",
            )
        },
    },
    Check {
        budget: Budget::Safety,
        code: "safety.toggle",
        tries: &["release.act"],
        look: |plan, _| {
            if lock(plan) && plan.station.release.act == ReleaseAct::Toggle {
                return found(
                    Verdict::Over,
                    "release.act",
                    "a release toggles: a message that is lost or comes twice leaves the door open, and nobody knows",
                    "one act opens for some seconds, then the door locks by itself",
                );
            }
            fine()
        },
    },
    Check {
        budget: Budget::Safety,
        code: "safety.no-re-lock",
        tries: &["release.act", "release.seconds"],
        look: |plan, _| {
            let s = &plan.station;
            if !lock(plan) || s.release.act == ReleaseAct::Toggle {
                return fine();
            }
            if s.release.act == ReleaseAct::UntilTold {
                return found(
                    Verdict::Over,
                    "release.act",
                    "a release lasts until another message ends it: a lost network leaves the door open",
                    "a longest time for each release; leaving it unlocked for the day is a separate mechanical act indoors",
                );
            }
            if s.release.seconds_s.is_nan() {
                return found(
                    Verdict::Unknown,
                    "release.seconds",
                    "the plan does not say release.seconds: without a longest time a door may stay open",
                    "say how long one release lasts; 3 to 10 s let a person in",
                );
            }
            fine()
        },
    },
    Check {
        budget: Budget::Safety,
        code: "safety.undefined-at-boot",
        tries: &[],
        look: |plan, _| {
            let s = &plan.station;
            if !lock(plan) {
                return fine();
            }
            judge(
                &[
                    Fact {
                        is_so: s.release.pulled.answer(),
                        path: "release.pulled_to_rest",
                        wrong: "nothing outside the chip holds the release output at rest",
                    },
                    Fact {
                        is_so: match s.release.timer {
                            ReleaseTimer::NotSaid => None,
                            timer => Some(timer != ReleaseTimer::Program),
                        },
                        path: "release.timer",
                        wrong: "only the program ends a release",
                    },
                ],
                "at boot, brown-out, update and lost link the door does what a floating pin says",
                "a resistor to the level of rest; a timer in hardware, or a watchdog that puts the output to rest",
            )
        },
    },
    Check {
        budget: Budget::Safety,
        code: "safety.egress",
        tries: &[],
        look: |plan, _| {
            let s = &plan.station;
            if !lock(plan) {
                return fine();
            }
            let mut facts = vec![
                Fact {
                    is_so: match s.lock.exit {
                        LockExit::NotSaid => None,
                        exit => Some(exit == LockExit::Motion),
                    },
                    path: "lock.exit",
                    wrong: "people inside need a key, power or a device to get out",
                },
                Fact {
                    is_so: s.lock.fire_door.answer().map(|fire| !fire),
                    path: "lock.fire_door",
                    wrong: "it is a fire door, whose rating goes with the first cut",
                },
            ];
            if s.lock.kind == LockKind::Magnet {
                facts.push(Fact {
                    is_so: s.lock.exit_cuts.answer(),
                    path: "lock.exit_cuts_power",
                    wrong: "no exit switch cuts the magnet's power by wire",
                });
            }
            judge(
                &facts,
                "everybody inside must get out by one movement, in smoke and darkness, whatever this device does",
                "a lever that always opens from inside; for doors with a rating ask whoever answers for fire safety: local code decides",
            )
        },
    },
    Check {
        budget: Budget::Safety,
        code: "safety.fail-mode",
        tries: &[],
        look: |plan, _| {
            let s = &plan.station;
            if !lock(plan) {
                return fine();
            }
            let fits = match (s.lock.fail, s.lock.kind) {
                (FailMode::NotSaid, _) => None,
                (FailMode::Secure, kind) => Some(kind != LockKind::Magnet),
                (FailMode::Safe, _) => Some(s.lock.must_hold != Told::Yes),
            };
            let wrong = if s.lock.fail == FailMode::Secure {
                "a magnet cannot be fail-secure: without power it lets go"
            } else {
                "it opens without power, and the door must stay locked then"
            };
            judge(
                &[
                    Fact { is_so: fits, path: "lock.fail", wrong },
                    Fact {
                        is_so: s.lock.key.answer(),
                        path: "lock.key_outside",
                        wrong: "no key opens it from outside",
                    },
                ],
                "what a power cut does to this door is your decision, against how people get out, and a key must still work",
                "choose fail-secure or fail-safe, and keep a mechanical key; local code may choose for you",
            )
        },
    },
    Check {
        budget: Budget::Safety,
        code: "safety.suppressor",
        tries: &["release.suppressor"],
        look: |plan, _| {
            let s = &plan.station;
            if !lock(plan) {
                return fine();
            }
            let to_do = "direct current: a diode, quicker with a clamp of 24 V; alternating: a varistor, or resistor and capacitor";
            match (s.release.suppressor, alternating(s)) {
                (Suppressor::NotSaid, _) => found(
                    Verdict::Unknown,
                    "release.suppressor",
                    "the plan does not say release.suppressor: a coil that is cut off makes hundreds of volts across the contact",
                    to_do,
                ),
                (Suppressor::None, _) => found(
                    Verdict::Over,
                    "release.suppressor",
                    "nothing takes up the coil's energy: 0.5 A cut in 10 us through 50 mH is 2,500 V, which burns the contact and resets the unit",
                    to_do,
                ),
                (Suppressor::Diode | Suppressor::Clamp, true) => found(
                    Verdict::Over,
                    "release.suppressor",
                    "a diode across a coil on alternating current is a short circuit in each half wave: it burns, and the transformer with it",
                    to_do,
                ),
                _ => fine(),
            }
        },
    },
    Check {
        budget: Budget::Safety,
        code: "safety.not-seen",
        tries: &[],
        look: |plan, _| {
            if lock(plan) && plan.station.release.seen != Told::Yes {
                return found(
                    Verdict::Tight,
                    "release.door_seen",
                    "no bolt or door contact tells that the door is shut and locked again: a stuck contact or an open door is not seen",
                    "a contact at the release unit; until then a record can only say that locking was commanded, not seen",
                );
            }
            fine()
        },
    },
    Check {
        budget: Budget::Safety,
        code: "safety.tamper",
        tries: &[],
        look: |plan, _| {
            if !lock(plan) {
                return fine();
            }
            if plan.station.release.credentials == Credentials::More {
                return found(
                    Verdict::Over,
                    "release.credentials",
                    "what is stored in the outdoor station can do more than press and show: its memory can be read by whoever takes it off the wall",
                    "credentials of its own that can only press and show, and that can be revoked; a network of its own",
                );
            }
            if plan.parts.demands.iter().any(|demand| demand.demand.kind == DemandKind::Tamper) {
                return fine();
            }
            found(
                Verdict::Tight,
                "pins",
                "nothing tells that the station is being opened or taken off the wall, so it cannot stop a release then",
                "a switch that opens with the case: tamper = \"any\" under [pins]",
            )
        },
    },
    Check {
        budget: Budget::Safety,
        code: "safety.freshness",
        tries: &["release.freshness"],
        look: |plan, _| {
            if lock(plan) && plan.station.release.freshness == Freshness::Arrival {
                return found(
                    Verdict::Over,
                    "release.freshness",
                    "a picture counts as fresh because it has just arrived: a frozen or repeated one then opens the door to somebody else",
                    "judge by the station's capture counter in a signed message; identical pictures block the release",
                );
            }
            fine()
        },
    },
];

//! `[control_bus]` of a sensor sheet: where the sensor answers, and what it adds to the bus.

use super::read::take_quantity;
use crate::text::Problems;
use crate::tree::Table;
use models::pins::control_bus::{BusPull, Member};

/// Capacitance that a part adds to a line of the bus, where its sheet does not say. Typical, from memory.
const CAPACITANCE_F: f64 = 10e-12;

pub(super) fn read(table: &mut Table<'_>, problems: &mut Problems) -> Option<Member> {
    let mut table = table.take_table("control_bus", problems)?;
    let node = table.take("address");
    let address = node.and_then(|node| node.integer()).and_then(|address| u8::try_from(address).ok());
    if address.is_none_or(|address| address > 0x7f) {
        let span = node.map_or_else(|| table.span(), |node| node.span());
        let hint = Some("write the seven-bit address: address = 0x30".into());
        problems.add(table.source(), span, "`control_bus.address` is no seven-bit address", hint);
    }
    let ohm = take_quantity(&mut table, ("control_bus", "pull_up"), "ohm", (1.0, 1e6), problems);
    let rail_v = take_quantity(&mut table, ("control_bus", "rail"), "V", (1.0, 6.0), problems);
    let capacitance_f = take_quantity(&mut table, ("control_bus", "capacitance"), "F", (0.0, 1e-9), problems);
    table.finish("[control_bus]", problems);
    let pull = ohm.zip(rail_v).map(|(ohm, rail_v)| BusPull { ohm, rail_v });
    Some(Member { address: address?, pull, capacitance_f: capacitance_f.unwrap_or(CAPACITANCE_F) })
}

//! What the rules on population charts share: the chart of a socket, and what fills it.

use crate::order;
use crate::scene::{Scene, SocketScene};
use domain::board::{Chart, ChartRow, LocalSlot};

/// A filled socket with the chart that holds for it.
pub struct Charted<'s, 'a> {
    pub socket: &'s SocketScene<'a>,
    pub chart: &'s Chart,
    /// DRAM modules in the socket, one at least.
    pub count: u16,
}

impl<'s> Charted<'s, '_> {
    /// The chart's rows for that count.
    pub fn rows(&self) -> impl Iterator<Item = &'s ChartRow> + use<'s> {
        let count = self.count;
        self.chart.rows.iter().filter(move |r| r.count == count)
    }
    /// Does DRAM sit in just these slots?
    pub fn fills(&self, scene: &Scene, slots: &[LocalSlot]) -> bool {
        slots.len() == usize::from(self.count)
            && self.socket.dram().all(|(slot, _)| slots.contains(&scene.board.slot(slot).address.local()))
    }
}

/// The sockets with DRAM for which the board has a chart of the build's mode.
pub fn charted<'s, 'a>(scene: &'s Scene<'a>) -> impl Iterator<Item = Charted<'s, 'a>> {
    let board = if scene.board.charts.is_empty() { None } else { Some(scene.board) };
    board.into_iter().flat_map(move |board| {
        scene.sockets.iter().filter_map(move |socket| {
            let count = socket.dram().count() as u16;
            if count == 0 {
                return None;
            }
            let chart = order::chart(board, &scene.build.mode, socket.index, same_ranks(socket))?;
            Some(Charted { socket, chart, count })
        })
    })
}

/// The package ranks of its DRAM, where all have equally many.
fn same_ranks(socket: &SocketScene) -> Option<u8> {
    let mut ranks = socket.dram().map(|(_, m)| m.organisation.package_ranks);
    let first = ranks.next()?;
    ranks.all(|r| r == first).then_some(first)
}

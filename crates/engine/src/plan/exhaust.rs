//! Every arrangement of a total, tried one by one where a rule of the whole machine refuses the best one.

use super::search::{BUDGET, Rooms, Run, Verdict};
use super::socket::{Support, Table};

impl Run<'_> {
    /// Tries every arrangement of a total, where a rule of the whole machine refuses the best one.
    pub(super) fn exhaust(&mut self, support: &Support, totals: &[usize]) {
        let left = BUDGET.saturating_sub(self.looked_at);
        let tables: Vec<Table> = self.space.frames.iter().map(|f| support.every(f, left)).collect();
        self.looked_at += tables.iter().map(|t| t.looked_at).sum::<u64>();
        if tables.iter().any(|t| !t.complete) {
            self.cut_at(support.choices.len());
        }
        let mut chosen: Vec<usize> = Vec::new();
        self.exhaust_from(support, totals, &tables, &mut chosen);
    }

    fn exhaust_from(&mut self, support: &Support, totals: &[usize], tables: &[Table], chosen: &mut Vec<usize>) {
        let sum = |t: usize| -> usize {
            chosen.iter().enumerate().map(|(f, e)| usize::from(tables[f].entries[*e].counts[t])).sum()
        };
        let sums: Vec<usize> = (0..totals.len()).map(sum).collect();
        if sums.iter().zip(totals).any(|(s, t)| s > t) {
            return;
        }
        if chosen.len() == tables.len() {
            if sums != totals {
                return;
            }
            self.looked_at += 1;
            let entries: Vec<_> = chosen.iter().enumerate().map(|(f, e)| &tables[f].entries[*e]).collect();
            let mbs = entries.iter().map(|e| e.mbs).sum();
            let usable = entries.iter().map(|e| e.usable).sum();
            let Some(objectives) = self.objectives(support, totals, mbs, Some(usable)) else {
                return;
            };
            if self.front.covers(&objectives) {
                return;
            }
            let rooms: Rooms =
                entries.iter().enumerate().map(|(f, e)| (f, support.contents(&self.space.frames[f], e))).collect();
            if matches!(self.verdict(&rooms), Verdict::Fine) {
                self.keep(support, totals, objectives, rooms);
            }
            return;
        }
        for e in 0..tables[chosen.len()].entries.len() {
            if self.looked_at >= BUDGET {
                self.cut_at(totals.len());
                return;
            }
            chosen.push(e);
            self.exhaust_from(support, totals, tables, chosen);
            chosen.pop();
        }
    }
}

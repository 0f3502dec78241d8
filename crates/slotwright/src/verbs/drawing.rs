//! What a slot map is drawn from, and where it is saved.

use crate::failure::Failure;
use crate::world;
use domain::{Build, Condition, Finding, SlotIndex};
use draw::text::TextStyle;
use draw::{MapInput, PartOrigin};
use engine::interleave::Region;
use engine::judge::Judgement;
use engine::order;
use engine::plan::{Origin, Plan};
use std::path::Path;

/// Everything that one map shows.
#[derive(Debug)]
pub struct Map<'a> {
    build: &'a Build,
    findings: &'a [Finding],
    install: Vec<Option<u16>>,
    regions: Vec<Option<u8>>,
    origins: Vec<Option<PartOrigin>>,
    /// Begins every id of the drawing, so that several fit one page.
    prefix: String,
}

impl<'a> Map<'a> {
    /// A judged build: findings, regions, and the order in which its modules go in.
    pub fn judged(build: &'a Build, judged: &'a Judgement) -> Self {
        let order = order::install_order(&build.board, &build.processors, &build.mode);
        let filled = |slot: &SlotIndex| build.slots.get(slot.at()).is_some_and(Option::is_some);
        let order: Vec<SlotIndex> = order.into_iter().filter(filled).collect();
        Self {
            build,
            findings: &judged.findings,
            install: numbered(build, &order),
            regions: regions(build, &judged.regions),
            origins: Vec::new(),
            prefix: "map".to_string(),
        }
    }
    /// With another beginning of its ids: letters, digits and dashes.
    #[must_use]
    pub fn prefixed(self, prefix: &str) -> Self {
        Self { prefix: prefix.to_string(), ..self }
    }
    /// A plan: as judged, with where each module comes from.
    pub fn planned(plan: &'a Plan) -> Self {
        let mut map = Self::judged(&plan.build, &plan.judgement);
        map.origins = vec![None; plan.build.slots.len()];
        for pick in &plan.picks {
            if let Some(place) = map.origins.get_mut(pick.slot.at()) {
                *place = Some(match (pick.origin, pick.condition) {
                    (Origin::Stays, _) => PartOrigin::Kept,
                    (Origin::Moves(_), _) => PartOrigin::Moved,
                    (Origin::Lot(_), Condition::New) => PartOrigin::New,
                    (Origin::Lot(_), _) => PartOrigin::Used,
                });
            }
        }
        map
    }
    /// An empty board with the order of its slots.
    pub fn ordered(build: &'a Build, order: &[SlotIndex]) -> Self {
        Self {
            build,
            findings: &[],
            install: numbered(build, order),
            regions: Vec::new(),
            origins: Vec::new(),
            prefix: "map".to_string(),
        }
    }
    /// A build with other findings on its slots, such as where a machine differs from it.
    pub fn marked(build: &'a Build, findings: &'a [Finding]) -> Self {
        Self { findings, ..Self::ordered(build, &[]) }
    }
    fn input(&self) -> MapInput<'_> {
        MapInput {
            install: &self.install,
            regions: &self.regions,
            origins: &self.origins,
            id_prefix: &self.prefix,
            ..MapInput::new(self.build, self.findings)
        }
    }
    /// The drawing itself.
    pub fn drawing(&self) -> draw::Drawing {
        draw::slot_map(&self.input())
    }
    /// For a terminal, with colour codes if `colour`.
    pub fn text(&self, colour: bool) -> String {
        let style = TextStyle { columns: world::columns(), colour, unicode: true };
        draw::text::render(&draw::slot_map(&self.input()), &style)
    }
    /// Saves it as SVG and says so.
    ///
    /// # Errors
    /// The file can't be written.
    pub fn save(&self, path: &Path) -> Result<String, Failure> {
        let svg = draw::svg::render(&draw::slot_map(&self.input()));
        world::write_file(path, &svg)?;
        Ok(format!("wrote {}: the slot map", path.display()))
    }
}

/// Places in an order, from 1, slot by slot.
fn numbered(build: &Build, order: &[SlotIndex]) -> Vec<Option<u16>> {
    let mut numbers = vec![None; build.board.slots.len()];
    for (number, slot) in (1u16..).zip(order) {
        if let Some(place) = numbers.get_mut(slot.at()) {
            *place = Some(number);
        }
    }
    numbers
}

/// The region that each filled slot's channel begins with, numbered from 1 within its socket.
fn regions(build: &Build, regions: &[Region]) -> Vec<Option<u8>> {
    let mut numbers = vec![None; build.board.slots.len()];
    for (socket, shape) in (0u8..).zip(&build.board.sockets) {
        let of_socket = || regions.iter().filter(|r| r.socket == socket);
        for (channel, (_, _, slots)) in (0u8..).zip(shape.channels()) {
            let region = of_socket().position(|r| r.members.contains(&channel));
            let filled = slots.iter().filter(|s| build.slots.get(s.at()).is_some_and(Option::is_some));
            for slot in filled {
                numbers[slot.at()] = region.map(|r| r as u8 + 1);
            }
        }
    }
    numbers
}

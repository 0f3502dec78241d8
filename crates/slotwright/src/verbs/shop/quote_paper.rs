//! What a quote keeps of itself: its paper as it was given out, and what is needed to price the same modules again.

use super::chosen::{self, ChosenBuild};
use super::settings::ShopView;
use crate::failure::Failure;
use crate::verbs::drawing::Map;
use crate::verbs::plan::PlanView;
use crate::verbs::sheet::{self, Job, Kind, Selling, SheetView};
use crate::world::Data;
use domain::quote::Quote;
use domain::shop::Percent;
use domain::{Lot, Money};
use draw::sheet::Sheet;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The paper of a quote, as the store keeps it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct QuotePaper {
    /// Without the number, which was not known when it was made.
    pub sheet: SheetView,
    /// The machine's title.
    pub machine: String,
    /// Was it planned from the store's shelf?
    pub from_stock: bool,
    /// The margin of the shop's settings, in hundredths of a percent.
    pub margin_hundredths: u32,
    /// The settings that it was made with; null in quotes of earlier versions.
    #[serde(default)]
    pub settings: Option<ShopView>,
    pub sold: Vec<SoldLine>,
}

/// Modules of one sort in a quote, for all machines.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct SoldLine {
    /// What modules of this kind have in common.
    pub sort: String,
    pub count: u32,
    /// What the customer pays for them, in whole cents, before tax.
    pub sum_minor: i64,
}

impl QuotePaper {
    /// Of a job that is a quote.
    ///
    /// # Errors
    /// The plan has no prices.
    pub fn new(job: &Job, build: &ChosenBuild, view: &PlanView, from_stock: bool) -> Result<Self, Failure> {
        let mut sold: BTreeMap<String, SoldLine> = BTreeMap::new();
        for pick in &build.picks {
            let bill = view.bill.iter().find(|b| b.module == pick.module && b.condition == pick.condition);
            let priced = view.picks.iter().find(|p| p.slot == pick.slot);
            let (Some(_), Some(priced)) = (bill, priced) else { return Err(Failure::NoPrices) };
            let cost = priced.each.money().ok_or(Failure::NoPrices)?;
            let module = job.build.filled().map(|(_, m)| m).find(|m| m.label == pick.module);
            let condition = domain::Condition::parse(&pick.condition);
            let (Some(module), Some(condition)) = (module, condition) else { return Err(Failure::NoPrices) };
            let each = job.selling.each(module, condition, cost, job.shop.margin)?;
            let none = SoldLine { sort: pick.sort.clone(), count: 0, sum_minor: 0 };
            let line = sold.entry(pick.sort.clone()).or_insert(none);
            line.count = line.count.saturating_add(job.machines);
            line.sum_minor = line.sum_minor.saturating_add(each.times(i64::from(job.machines)).minor());
        }
        Ok(Self {
            sheet: SheetView::new(&sheet::sheet(Kind::Quote, job)?),
            machine: job.judged.title.clone(),
            from_stock,
            margin_hundredths: job.shop.margin.hundredths(),
            settings: Some(ShopView::new(&job.shop)),
            sold: sold.into_values().collect(),
        })
    }
    /// From the store.
    ///
    /// # Errors
    /// Another program wrote it.
    pub fn read(text: &str) -> Result<Self, Failure> {
        serde_json::from_str(text).map_err(|e| Failure::Shop {
            why: format!("the paper of the quote in the store can't be read: {e}"),
            hint: "revise the quote".to_string(),
        })
    }
    /// The sheet to print, with the quote's number; its map is drawn anew from the build.
    ///
    /// # Errors
    /// The build in the store can't be read.
    pub fn print(&self, data: &Data, quote: &Quote) -> Result<Sheet, Failure> {
        let map = ChosenBuild::read(&quote.offer.build)?
            .check(data)
            .map(|checked| Map::judged(&checked.build, &checked.judgement).drawing())
            .map_err(|e| e.to_string());
        let name = name(quote);
        let foot = format!("{} · {name} · {} · made with slotwright", self.sheet.title, self.machine);
        let mut sheet = sheet::quote::again(&self.sheet, foot, map);
        sheet.aside.insert(0, format!("No. {name}"));
        Ok(sheet)
    }
    /// What is different today, as sentences: modules that are gone, and sums that changed.
    ///
    /// # Errors
    /// A price list in another currency than the modules' cost.
    pub fn changes(
        &self,
        lots: &[Lot],
        selling: &Selling,
        machines: u32,
        quoted: Money,
    ) -> Result<Vec<String>, Failure> {
        let margin = Percent::from_hundredths(self.margin_hundredths);
        let mut words = Vec::new();
        for line in &self.sold {
            let mut of_sort: Vec<&Lot> =
                lots.iter().filter(|l| chosen::sort(&l.module, l.condition) == line.sort).collect();
            of_sort.sort_by_key(|l| l.each);
            let (mut left, mut sum) = (line.count, 0_i64);
            for lot in of_sort {
                // A lot gives as many to each machine as to the next.
                let most = lot.count.map_or(left, |c| c - c % machines.max(1)).min(left);
                let each = selling.each(&lot.module, lot.condition, lot.each, margin)?;
                sum = sum.saturating_add(each.times(i64::from(most)).minor());
                left -= most;
            }
            let money = |minor| Money::from_minor(minor, quoted.currency());
            if left > 0 {
                words.push(format!("{left} of {} {} are no longer to be had", line.count, line.sort));
            } else if sum != line.sum_minor {
                words.push(format!(
                    "{} {}: quoted at {}, today {}",
                    line.count,
                    line.sort,
                    money(line.sum_minor),
                    money(sum)
                ));
            }
        }
        Ok(words)
    }
}

/// `Q-00042`, and the version from the second on.
pub fn name(quote: &Quote) -> String {
    if quote.version == 1 { quote.number.clone() } else { format!("{} version {}", quote.number, quote.version) }
}

//! What a customer pays for a plan: by the shop's price list, margins and settings, the same for quotes and orders.

use super::settings;
use crate::failure::Failure;
use crate::verbs::plan::{Plan, PlanView};
use crate::verbs::sheet::quote::Bill;
use crate::verbs::sheet::{self, Selling};
use crate::world::Data;
use domain::Day;
use domain::order::Priced;
use domain::shop::Shop;
use store::Store;

/// On which day something is sold, and with which settings of the shop; those that the store keeps, where none are named.
#[derive(Debug)]
pub struct Sale {
    pub shop: Option<Shop>,
    pub day: Day,
}

/// How the shop prices on a day.
#[derive(Debug)]
pub struct Pricing {
    selling: Selling,
    /// The shop's settings, where there are some.
    shop: Option<Shop>,
}

impl Pricing {
    /// Price list and margins of the day with these settings, else with those that the store keeps.
    ///
    /// # Errors
    /// The store's.
    pub fn on(data: &Data, store: &Store, sale: Sale) -> Result<Self, Failure> {
        let shop = sale.shop.map_or_else(|| settings::kept(data, store), |shop| Ok(Some(shop)))?;
        Ok(Self { selling: Selling::on(data, store, sale.day)?, shop })
    }
    /// What a plan comes to for all machines. Where the shop has said nothing of prices, that is what the modules cost.
    ///
    /// # Errors
    /// Prices in more than one currency.
    pub fn priced(&self, view: &PlanView, plan: &Plan, machines: u32) -> Result<Priced, Failure> {
        let cost = plan.price_all;
        if self.shop.is_none() && !self.selling.says_something() {
            return Ok(Priced { price: cost, cost: None });
        }
        let nobody = sheet::nobody();
        let shop = self.shop.as_ref().unwrap_or(&nobody);
        let bill = Bill { lines: &view.bill, build: &plan.build, machines, shop, selling: &self.selling };
        // A machine that needs no module and no work costs nothing.
        let price = bill.net()?.unwrap_or(cost);
        price.plus(cost)?;
        Ok(Priced { price, cost: Some(cost) })
    }
}

//! A build: what sits in every slot, judged as it is changed; its state is the address.

mod form;
mod page;

pub use form::Form;
pub use page::page;

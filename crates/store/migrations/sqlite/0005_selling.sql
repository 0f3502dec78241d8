-- The shop's settings as its file has them (TOML); the newest holds.
create table shop_settings (
    id integer primary key autoincrement,
    text text not null,
    at integer not null,
    who text not null
) strict;

-- What the modules of the chosen build cost the shop, for all machines; none where the price is just that.
alter table orders add column cost_minor integer;

-- holds, corrected (another took its place) or withdrawn
alter table price_list add column state text not null default 'holds';

-- Customers in small letters, for searching; SQLite's own lower() knows those of ASCII only.
alter table orders add column customer_small text not null default '';
update orders set customer_small =
    replace(replace(replace(replace(replace(replace(lower(customer), 'Ä', 'ä'), 'Ö', 'ö'), 'Ü', 'ü'), 'É', 'é'), 'Å', 'å'), 'Ø', 'ø');
alter table quote add column customer_small text not null default '';
update quote set customer_small =
    replace(replace(replace(replace(replace(replace(lower(customer), 'Ä', 'ä'), 'Ö', 'ö'), 'Ü', 'ü'), 'É', 'é'), 'Å', 'å'), 'Ø', 'ø');

-- The shop's settings as its file has them (TOML); the newest holds.
create table shop_settings (
    id bigint generated always as identity primary key,
    text text not null,
    at bigint not null,
    who text not null
);

-- What the modules of the chosen build cost the shop, for all machines; none where the price is just that.
alter table orders add column cost_minor bigint;

-- holds, corrected (another took its place) or withdrawn
alter table price_list add column state text not null default 'holds';

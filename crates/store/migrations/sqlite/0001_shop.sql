-- Money is in minor units, days count from 1970-01-01, moments are seconds from then (UTC).

create table counter (
    name text primary key,
    next integer not null
) strict;

create table supplier (
    id integer primary key autoincrement,
    name text not null unique check (name <> ''),
    note text not null default ''
) strict;

-- What was bought from one supplier at one time.
create table batch (
    id integer primary key autoincrement,
    supplier_id integer not null references supplier (id),
    reference text not null,
    bought_on integer not null,
    warranty_until integer,
    note text not null default '',
    unique (supplier_id, reference)
) strict;

-- Modules of one label, part number and die.
create table model (
    id integer primary key autoincrement,
    label text not null,
    part_number text not null default '',
    maker text not null default '',
    die text not null default '',
    generation text not null,
    kind text not null,
    capacity_mib integer not null check (capacity_mib > 0),
    organisation text not null,
    rate_mts integer not null check (rate_mts > 0),
    -- All of it in small letters, for searching.
    haystack text not null,
    unique (label, part_number, maker, die)
) strict;

-- A module with its serial number, or a lot of like ones without.
create table item (
    id integer primary key autoincrement,
    model_id integer not null references model (id),
    maker text not null default '',
    serial text,
    -- The serial backwards, in small letters: people know the last digits.
    serial_tail text,
    condition text not null check (condition in ('new', 'used')),
    state text not null,
    quantity integer not null check (quantity >= 0),
    reserved integer not null default 0 check (reserved >= 0 and reserved <= quantity),
    batch_id integer references batch (id),
    bin text not null default '',
    cost_minor integer not null check (cost_minor >= 0),
    currency text not null,
    screening text not null,
    screening_note text not null default '',
    made_year integer,
    made_week integer,
    received_on integer not null,
    note text not null default '',
    version integer not null default 1,
    check (serial is null or quantity <= 1)
) strict;
create unique index item_serial on item (serial, maker) where serial is not null;
create index item_tail on item (serial_tail) where serial_tail is not null;
create index item_shelf on item (model_id, condition, currency, state, quantity, reserved, cost_minor);
create index item_bin on item (bin);
create index item_batch on item (batch_id);

create table orders (
    id integer primary key autoincrement,
    number text not null unique,
    customer text not null,
    priority integer not null check (priority between 0 and 9),
    machines integer not null check (machines between 1 and 10000),
    due_on integer,
    need text not null,
    stage text not null,
    -- The chosen build as a document of the app.
    build text,
    price_minor integer,
    currency text,
    quote_id integer,
    version integer not null default 1,
    created_at integer not null
) strict;
create index orders_stage on orders (stage, priority, id);

create table order_stage (
    order_id integer not null references orders (id),
    stage text not null,
    at integer not null,
    who text not null,
    note text not null default ''
) strict;
create index order_stage_order on order_stage (order_id);

-- One module each: which item goes into which slot of which machine of an order.
create table reservation (
    id integer primary key autoincrement,
    order_id integer not null references orders (id),
    item_id integer not null references item (id),
    machine integer not null check (machine >= 1),
    slot text not null,
    -- held, picked, built in, released or taken out
    state text not null,
    at integer not null,
    who text not null
) strict;
create index reservation_order on reservation (order_id, state);
create index reservation_item on reservation (item_id, state);
create unique index reservation_slot on reservation (order_id, machine, slot) where state in ('held', 'picked', 'built in');

create table history (
    id integer primary key autoincrement,
    at integer not null,
    who text not null,
    subject text not null,
    subject_id integer not null,
    act text not null,
    detail text not null default ''
) strict;
create index history_subject on history (subject, subject_id, id);

create table quote (
    id integer primary key autoincrement,
    number text not null,
    version integer not null check (version >= 1),
    customer text not null,
    need text not null,
    -- The chosen build and the lines of the paper, documents of the app.
    build text not null,
    paper text not null,
    machines integer not null check (machines between 1 and 10000),
    net_minor integer not null,
    total_minor integer not null,
    currency text not null,
    issued_on integer not null,
    valid_until integer not null,
    state text not null,
    at integer not null,
    who text not null,
    unique (number, version)
) strict;
create index quote_state on quote (state, id);

create table price_list (
    id integer primary key autoincrement,
    name text not null,
    valid_from integer not null,
    valid_until integer,
    currency text not null,
    unique (name, valid_from)
) strict;

create table price (
    list_id integer not null references price_list (id),
    label text not null,
    condition text not null check (condition in ('new', 'used')),
    each_minor integer not null check (each_minor >= 0),
    -- Whom it can be bought from; empty for what the shop itself asks.
    supplier text not null default '',
    primary key (list_id, label, condition, supplier)
) strict;

-- What is put on top of the cost, by class of module, from a day on.
create table margin (
    class text not null,
    valid_from integer not null,
    hundredths integer not null check (hundredths between 0 and 100000),
    primary key (class, valid_from)
) strict;

-- Photos, logs, snapshots: once each, by the SHA-256 of what they hold.
create table content (
    hash text primary key,
    media_type text not null,
    size integer not null,
    bytes blob not null
) strict;

create table attachment (
    id integer primary key autoincrement,
    hash text not null references content (hash),
    subject text not null,
    subject_id integer not null,
    name text not null,
    at integer not null,
    who text not null
) strict;
create index attachment_subject on attachment (subject, subject_id, id);

-- Modules that failed, and what became of them at the supplier.
create table failure (
    id integer primary key autoincrement,
    item_id integer not null references item (id),
    order_id integer references orders (id),
    at integer not null,
    who text not null,
    reason text not null,
    -- The record of the diagnosis, an attachment's hash.
    record_hash text references content (hash),
    -- found, sent back, replaced, credited or refused
    state text not null,
    closed_at integer
) strict;
create index failure_item on failure (item_id);
create index failure_state on failure (state, id);

create table stock_take (
    id integer primary key autoincrement,
    bin text not null,
    at integer not null,
    who text not null,
    -- What was found and what was missing, a document of the app.
    result text not null
) strict;

create table allocation (
    id integer primary key autoincrement,
    at integer not null,
    who text not null,
    -- proposed, accepted, partly accepted or withdrawn
    state text not null,
    -- The whole answer, a document of the app.
    answer text not null
) strict;

create table allocation_order (
    allocation_id integer not null references allocation (id),
    order_id integer not null references orders (id),
    -- proposed, accepted, refused or overtaken
    state text not null,
    primary key (allocation_id, order_id)
) strict;

create table token (
    id integer primary key autoincrement,
    name text not null unique,
    -- SHA-256 of the token; the token itself is never kept.
    hash text not null unique,
    -- Words with spaces between, such as: stock:read orders:write
    scopes text not null,
    created_at integer not null,
    used_at integer,
    revoked_at integer
) strict;

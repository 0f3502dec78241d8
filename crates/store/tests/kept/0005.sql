CREATE TABLE public._sqlx_migrations (
    version bigint NOT NULL,
    description text NOT NULL,
    installed_on timestamp with time zone DEFAULT now() NOT NULL,
    success boolean NOT NULL,
    checksum bytea NOT NULL,
    execution_time bigint NOT NULL
);
CREATE TABLE public.allocation (
    id bigint NOT NULL,
    at bigint NOT NULL,
    who text NOT NULL,
    state text NOT NULL,
    answer text NOT NULL
);
ALTER TABLE public.allocation ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.allocation_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.allocation_order (
    allocation_id bigint NOT NULL,
    order_id bigint NOT NULL,
    state text NOT NULL
);
CREATE TABLE public.attachment (
    id bigint NOT NULL,
    hash text NOT NULL,
    subject text NOT NULL,
    subject_id bigint NOT NULL,
    name text NOT NULL,
    at bigint NOT NULL,
    who text NOT NULL
);
ALTER TABLE public.attachment ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.attachment_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.batch (
    id bigint NOT NULL,
    supplier_id bigint NOT NULL,
    reference text NOT NULL,
    bought_on bigint NOT NULL,
    warranty_until bigint,
    note text DEFAULT ''::text NOT NULL
);
ALTER TABLE public.batch ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.batch_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.content (
    hash text NOT NULL,
    media_type text NOT NULL,
    size bigint NOT NULL,
    bytes bytea NOT NULL
);
CREATE TABLE public.counter (
    name text NOT NULL,
    next bigint NOT NULL
);
CREATE TABLE public.failure (
    id bigint NOT NULL,
    item_id bigint NOT NULL,
    order_id bigint,
    at bigint NOT NULL,
    who text NOT NULL,
    reason text NOT NULL,
    record_hash text,
    state text NOT NULL,
    closed_at bigint,
    reference text DEFAULT ''::text NOT NULL,
    note text DEFAULT ''::text NOT NULL
);
ALTER TABLE public.failure ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.failure_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.history (
    id bigint NOT NULL,
    at bigint NOT NULL,
    who text NOT NULL,
    subject text NOT NULL,
    subject_id bigint NOT NULL,
    act text NOT NULL,
    detail text DEFAULT ''::text NOT NULL
);
ALTER TABLE public.history ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.history_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.item (
    id bigint NOT NULL,
    model_id bigint NOT NULL,
    maker text DEFAULT ''::text NOT NULL,
    serial text,
    serial_tail text,
    condition text NOT NULL,
    state text NOT NULL,
    quantity bigint NOT NULL,
    reserved bigint DEFAULT 0 NOT NULL,
    batch_id bigint,
    bin text DEFAULT ''::text NOT NULL,
    cost_minor bigint NOT NULL,
    currency text NOT NULL,
    screening text NOT NULL,
    screening_note text DEFAULT ''::text NOT NULL,
    made_year bigint,
    made_week bigint,
    received_on bigint NOT NULL,
    note text DEFAULT ''::text NOT NULL,
    version bigint DEFAULT 1 NOT NULL,
    received bigint DEFAULT 0 NOT NULL,
    CONSTRAINT item_check CHECK (((reserved >= 0) AND (reserved <= quantity))),
    CONSTRAINT item_check1 CHECK (((serial IS NULL) OR (quantity <= 1))),
    CONSTRAINT item_condition_check CHECK ((condition = ANY (ARRAY['new'::text, 'used'::text]))),
    CONSTRAINT item_cost_minor_check CHECK ((cost_minor >= 0)),
    CONSTRAINT item_quantity_check CHECK ((quantity >= 0))
);
ALTER TABLE public.item ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.item_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.margin (
    class text NOT NULL,
    valid_from bigint NOT NULL,
    hundredths bigint NOT NULL,
    CONSTRAINT margin_hundredths_check CHECK (((hundredths >= 0) AND (hundredths <= 100000)))
);
CREATE TABLE public.model (
    id bigint NOT NULL,
    label text NOT NULL,
    part_number text DEFAULT ''::text NOT NULL,
    maker text DEFAULT ''::text NOT NULL,
    die text DEFAULT ''::text NOT NULL,
    generation text NOT NULL,
    kind text NOT NULL,
    capacity_mib bigint NOT NULL,
    organisation text NOT NULL,
    rate_mts bigint NOT NULL,
    haystack text NOT NULL,
    CONSTRAINT model_capacity_mib_check CHECK ((capacity_mib > 0)),
    CONSTRAINT model_rate_mts_check CHECK ((rate_mts > 0))
);
ALTER TABLE public.model ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.model_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.order_stage (
    order_id bigint NOT NULL,
    stage text NOT NULL,
    at bigint NOT NULL,
    who text NOT NULL,
    note text DEFAULT ''::text NOT NULL,
    place bigint DEFAULT 0 NOT NULL
);
CREATE TABLE public.orders (
    id bigint NOT NULL,
    number text NOT NULL,
    customer text NOT NULL,
    priority bigint NOT NULL,
    machines bigint NOT NULL,
    due_on bigint,
    need text NOT NULL,
    stage text NOT NULL,
    build text,
    price_minor bigint,
    currency text,
    quote_id bigint,
    version bigint DEFAULT 1 NOT NULL,
    created_at bigint NOT NULL,
    cost_minor bigint,
    CONSTRAINT orders_machines_check CHECK (((machines >= 1) AND (machines <= 10000))),
    CONSTRAINT orders_priority_check CHECK (((priority >= 0) AND (priority <= 9)))
);
ALTER TABLE public.orders ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.orders_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.price (
    list_id bigint NOT NULL,
    label text NOT NULL,
    condition text NOT NULL,
    each_minor bigint NOT NULL,
    supplier text DEFAULT ''::text NOT NULL,
    CONSTRAINT price_condition_check CHECK ((condition = ANY (ARRAY['new'::text, 'used'::text]))),
    CONSTRAINT price_each_minor_check CHECK ((each_minor >= 0))
);
CREATE TABLE public.price_list (
    id bigint NOT NULL,
    name text NOT NULL,
    valid_from bigint NOT NULL,
    valid_until bigint,
    currency text NOT NULL,
    state text DEFAULT 'holds'::text NOT NULL
);
ALTER TABLE public.price_list ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.price_list_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.quote (
    id bigint NOT NULL,
    number text NOT NULL,
    version bigint NOT NULL,
    customer text NOT NULL,
    need text NOT NULL,
    build text NOT NULL,
    paper text NOT NULL,
    machines bigint NOT NULL,
    net_minor bigint NOT NULL,
    total_minor bigint NOT NULL,
    currency text NOT NULL,
    issued_on bigint NOT NULL,
    valid_until bigint NOT NULL,
    state text NOT NULL,
    at bigint NOT NULL,
    who text NOT NULL,
    CONSTRAINT quote_machines_check CHECK (((machines >= 1) AND (machines <= 10000))),
    CONSTRAINT quote_version_check CHECK ((version >= 1))
);
ALTER TABLE public.quote ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.quote_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.reservation (
    id bigint NOT NULL,
    order_id bigint NOT NULL,
    item_id bigint NOT NULL,
    machine bigint NOT NULL,
    slot text NOT NULL,
    state text NOT NULL,
    at bigint NOT NULL,
    who text NOT NULL,
    CONSTRAINT reservation_machine_check CHECK ((machine >= 1))
);
ALTER TABLE public.reservation ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.reservation_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.shop_settings (
    id bigint NOT NULL,
    text text NOT NULL,
    at bigint NOT NULL,
    who text NOT NULL
);
ALTER TABLE public.shop_settings ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.shop_settings_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.stock_take (
    id bigint NOT NULL,
    bin text NOT NULL,
    at bigint NOT NULL,
    who text NOT NULL,
    result text NOT NULL
);
ALTER TABLE public.stock_take ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.stock_take_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.supplier (
    id bigint NOT NULL,
    name text NOT NULL,
    note text DEFAULT ''::text NOT NULL,
    CONSTRAINT supplier_name_check CHECK ((name <> ''::text))
);
ALTER TABLE public.supplier ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.supplier_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.token (
    id bigint NOT NULL,
    name text NOT NULL,
    hash text NOT NULL,
    scopes text NOT NULL,
    created_at bigint NOT NULL,
    used_at bigint,
    revoked_at bigint
);
ALTER TABLE public.token ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.token_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
INSERT INTO public._sqlx_migrations VALUES (1, 'shop', '2026-11-29 00:00:00+00', true, '\x7f57a538bdf2a8d26fec9a1266779dcaab3bb47fb74b3ee20e540db13e4cee8da0b1ce89b8ea56af946f0d391757e695', 1);
INSERT INTO public._sqlx_migrations VALUES (2, 'evidence', '2026-11-29 00:00:00+00', true, '\xe2d843cc430dfef6296ef34189f85a69fa1ef35c18e3a9b289bf15ce14cf515d18fb84ce746b60137520c832da3b38cd', 1);
INSERT INTO public._sqlx_migrations VALUES (3, 'quotes', '2026-11-29 00:00:00+00', true, '\xe3c4b5349830035456f37c0af0d9a19cd0ba3aa0455d96bef6b6eb16c3ef72377c987adfb80c6babc152197bb025c160', 1);
INSERT INTO public._sqlx_migrations VALUES (4, 'sums', '2026-11-29 00:00:00+00', true, '\xdd51c45aa0cc6f6f81bbe964bbc8dfa24cac12a07a9b0d39906596ada44eb663ac50b7599e08af2038e03c3837f86548', 1);
INSERT INTO public._sqlx_migrations VALUES (5, 'selling', '2026-11-29 00:00:00+00', true, '\xe397b7be100ed83d10c84a0afc935b869afcd77cd60ee8c16cfedda8b35347c4fb090014f08c97bc53a94e194fc345cc', 1);
INSERT INTO public.counter VALUES ('order', 2);
INSERT INTO public.history OVERRIDING SYSTEM VALUE VALUES (1, 1795661249, 'somebody', 'item', 1, 'taken in', '30 x 32GB 2Rx4 PC4-2933Y-R, AV-32-2933, used, 42.50 EUR, bin A1, not screened');
INSERT INTO public.history OVERRIDING SYSTEM VALUE VALUES (2, 1795661249, 'somebody', 'item', 2, 'taken in', '16 x 64GB 2Rx4 PC4-2933Y-R, AV-64-2933, used, 88.00 EUR, bin A2, not screened');
INSERT INTO public.history OVERRIDING SYSTEM VALUE VALUES (3, 1795661249, 'somebody', 'item', 3, 'taken in', '1 x 64GB 2Rx4 PC4-2933Y-R, GM-64-2933, used, 92.00 EUR, bin B1, not screened');
INSERT INTO public.history OVERRIDING SYSTEM VALUE VALUES (4, 1795661249, 'somebody', 'item', 4, 'taken in', '40 x 16GB 2Rx8 PC4-2666V-R, new, 30.00 EUR, bin A3, not screened');
INSERT INTO public.history OVERRIDING SYSTEM VALUE VALUES (5, 1795661249, 'bench 1', 'order', 1, 'asked', '');
INSERT INTO public.history OVERRIDING SYSTEM VALUE VALUES (6, 1795661249, 'somebody', 'order', 1, 'chosen', '');
INSERT INTO public.history OVERRIDING SYSTEM VALUE VALUES (7, 1795661249, 'somebody', 'item', 1, 'held', 'O-00001, machine 1, slot east-1-outer');
INSERT INTO public.history OVERRIDING SYSTEM VALUE VALUES (8, 1795661249, 'somebody', 'item', 1, 'held', 'O-00001, machine 1, slot east-2-outer');
INSERT INTO public.history OVERRIDING SYSTEM VALUE VALUES (9, 1795661249, 'somebody', 'item', 1, 'held', 'O-00001, machine 1, slot east-3-outer');
INSERT INTO public.history OVERRIDING SYSTEM VALUE VALUES (10, 1795661249, 'somebody', 'item', 1, 'held', 'O-00001, machine 1, slot east-4-outer');
INSERT INTO public.history OVERRIDING SYSTEM VALUE VALUES (11, 1795661249, 'somebody', 'item', 1, 'held', 'O-00001, machine 1, slot east-5-outer');
INSERT INTO public.history OVERRIDING SYSTEM VALUE VALUES (12, 1795661249, 'somebody', 'item', 1, 'held', 'O-00001, machine 1, slot east-6-outer');
INSERT INTO public.history OVERRIDING SYSTEM VALUE VALUES (13, 1795661249, 'somebody', 'item', 1, 'held', 'O-00001, machine 1, slot west-1-outer');
INSERT INTO public.history OVERRIDING SYSTEM VALUE VALUES (14, 1795661249, 'somebody', 'item', 1, 'held', 'O-00001, machine 1, slot west-2-outer');
INSERT INTO public.history OVERRIDING SYSTEM VALUE VALUES (15, 1795661249, 'somebody', 'item', 1, 'held', 'O-00001, machine 1, slot west-3-outer');
INSERT INTO public.history OVERRIDING SYSTEM VALUE VALUES (16, 1795661249, 'somebody', 'item', 1, 'held', 'O-00001, machine 1, slot west-4-outer');
INSERT INTO public.history OVERRIDING SYSTEM VALUE VALUES (17, 1795661249, 'somebody', 'item', 1, 'held', 'O-00001, machine 1, slot west-5-outer');
INSERT INTO public.history OVERRIDING SYSTEM VALUE VALUES (18, 1795661249, 'somebody', 'item', 1, 'held', 'O-00001, machine 1, slot west-6-outer');
INSERT INTO public.history OVERRIDING SYSTEM VALUE VALUES (19, 1795661249, 'somebody', 'order', 1, 'reserved', '12 modules');
INSERT INTO public.item OVERRIDING SYSTEM VALUE VALUES (1, 1, 'Avocet Modules', NULL, NULL, 'used', 'on the shelf', 30, 12, NULL, 'A1', 4250, 'EUR', 'not screened', '', NULL, NULL, 20783, '', 13, 30);
INSERT INTO public.item OVERRIDING SYSTEM VALUE VALUES (2, 2, 'Avocet Modules', NULL, NULL, 'used', 'on the shelf', 16, 0, NULL, 'A2', 8800, 'EUR', 'not screened', '', NULL, NULL, 20783, '', 1, 16);
INSERT INTO public.item OVERRIDING SYSTEM VALUE VALUES (3, 3, 'Godwit Memory', '4A5B6C01', '10c6b5a4', 'used', 'on the shelf', 1, 0, NULL, 'B1', 9200, 'EUR', 'not screened', '', NULL, NULL, 20783, '', 1, 1);
INSERT INTO public.item OVERRIDING SYSTEM VALUE VALUES (4, 4, '', NULL, NULL, 'new', 'on the shelf', 40, 0, NULL, 'A3', 3000, 'EUR', 'not screened', '', NULL, NULL, 20783, '', 1, 40);
INSERT INTO public.model OVERRIDING SYSTEM VALUE VALUES (1, '32GB 2Rx4 PC4-2933Y-R', 'AV-32-2933', 'Avocet Modules', '8 Gb B', 'DDR4', 'RDIMM', 32768, '2Rx4', 2933, '32gb 2rx4 pc4-2933y-r av-32-2933 avocet modules 8 gb b rdimm ddr4');
INSERT INTO public.model OVERRIDING SYSTEM VALUE VALUES (2, '64GB 2Rx4 PC4-2933Y-R', 'AV-64-2933', 'Avocet Modules', '16 Gb A', 'DDR4', 'RDIMM', 65536, '2Rx4', 2933, '64gb 2rx4 pc4-2933y-r av-64-2933 avocet modules 16 gb a rdimm ddr4');
INSERT INTO public.model OVERRIDING SYSTEM VALUE VALUES (3, '64GB 2Rx4 PC4-2933Y-R', 'GM-64-2933', 'Godwit Memory', '16 Gb C', 'DDR4', 'RDIMM', 65536, '2Rx4', 2933, '64gb 2rx4 pc4-2933y-r gm-64-2933 godwit memory 16 gb c rdimm ddr4');
INSERT INTO public.model OVERRIDING SYSTEM VALUE VALUES (4, '16GB 2Rx8 PC4-2666V-R', '', '', '8 Gbit', 'DDR4', 'RDIMM', 16384, '2Rx8', 2666, '16gb 2rx8 pc4-2666v-r   8 gbit rdimm ddr4');
INSERT INTO public.order_stage VALUES (1, 'asked', 1795661249, 'bench 1', '', 0);
INSERT INTO public.order_stage VALUES (1, 'chosen', 1795661249, 'somebody', '', 0);
INSERT INTO public.order_stage VALUES (1, 'reserved', 1795661249, 'somebody', '12 modules', 0);
INSERT INTO public.orders OVERRIDING SYSTEM VALUE VALUES (1, 'O-00001', 'Plover', 5, 1, NULL, '# A two-socket machine with about 384 GB, as fast as the budget allows, of registered modules that are easy to come by.
board = "dunlin-2s6"
processors = ["ddr4-6ch-2933", "ddr4-6ch-2933"]
firmware = "2.14"
about = "384 GB"
budget = "9000 EUR"
', 'reserved', '{"words":"12 × 32 GiB 2Rx4 RDIMM 2933 used","build":{"board":"dunlin-2s6","processors":["ddr4-6ch-2933","ddr4-6ch-2933"],"mode":"independent","numa":null,"firmware":"2.14","slots":{"east-1-outer":"32GB 2Rx4 PC4-2933Y-R","east-2-outer":"32GB 2Rx4 PC4-2933Y-R","east-3-outer":"32GB 2Rx4 PC4-2933Y-R","east-4-outer":"32GB 2Rx4 PC4-2933Y-R","east-5-outer":"32GB 2Rx4 PC4-2933Y-R","east-6-outer":"32GB 2Rx4 PC4-2933Y-R","west-1-outer":"32GB 2Rx4 PC4-2933Y-R","west-2-outer":"32GB 2Rx4 PC4-2933Y-R","west-3-outer":"32GB 2Rx4 PC4-2933Y-R","west-4-outer":"32GB 2Rx4 PC4-2933Y-R","west-5-outer":"32GB 2Rx4 PC4-2933Y-R","west-6-outer":"32GB 2Rx4 PC4-2933Y-R"}},"picks":[{"slot":"west-1-outer","socket":0,"module":"32GB 2Rx4 PC4-2933Y-R","sort":"DDR4 32 GiB 2Rx4 RDIMM 2933 used","condition":"used"},{"slot":"west-2-outer","socket":0,"module":"32GB 2Rx4 PC4-2933Y-R","sort":"DDR4 32 GiB 2Rx4 RDIMM 2933 used","condition":"used"},{"slot":"west-3-outer","socket":0,"module":"32GB 2Rx4 PC4-2933Y-R","sort":"DDR4 32 GiB 2Rx4 RDIMM 2933 used","condition":"used"},{"slot":"west-4-outer","socket":0,"module":"32GB 2Rx4 PC4-2933Y-R","sort":"DDR4 32 GiB 2Rx4 RDIMM 2933 used","condition":"used"},{"slot":"west-5-outer","socket":0,"module":"32GB 2Rx4 PC4-2933Y-R","sort":"DDR4 32 GiB 2Rx4 RDIMM 2933 used","condition":"used"},{"slot":"west-6-outer","socket":0,"module":"32GB 2Rx4 PC4-2933Y-R","sort":"DDR4 32 GiB 2Rx4 RDIMM 2933 used","condition":"used"},{"slot":"east-1-outer","socket":1,"module":"32GB 2Rx4 PC4-2933Y-R","sort":"DDR4 32 GiB 2Rx4 RDIMM 2933 used","condition":"used"},{"slot":"east-2-outer","socket":1,"module":"32GB 2Rx4 PC4-2933Y-R","sort":"DDR4 32 GiB 2Rx4 RDIMM 2933 used","condition":"used"},{"slot":"east-3-outer","socket":1,"module":"32GB 2Rx4 PC4-2933Y-R","sort":"DDR4 32 GiB 2Rx4 RDIMM 2933 used","condition":"used"},{"slot":"east-4-outer","socket":1,"module":"32GB 2Rx4 PC4-2933Y-R","sort":"DDR4 32 GiB 2Rx4 RDIMM 2933 used","condition":"used"},{"slot":"east-5-outer","socket":1,"module":"32GB 2Rx4 PC4-2933Y-R","sort":"DDR4 32 GiB 2Rx4 RDIMM 2933 used","condition":"used"},{"slot":"east-6-outer","socket":1,"module":"32GB 2Rx4 PC4-2933Y-R","sort":"DDR4 32 GiB 2Rx4 RDIMM 2933 used","condition":"used"}]}', 51000, 'EUR', NULL, 3, 1795661249, NULL);
INSERT INTO public.reservation OVERRIDING SYSTEM VALUE VALUES (1, 1, 1, 1, 'east-1-outer', 'held', 1795661249, 'somebody');
INSERT INTO public.reservation OVERRIDING SYSTEM VALUE VALUES (2, 1, 1, 1, 'east-2-outer', 'held', 1795661249, 'somebody');
INSERT INTO public.reservation OVERRIDING SYSTEM VALUE VALUES (3, 1, 1, 1, 'east-3-outer', 'held', 1795661249, 'somebody');
INSERT INTO public.reservation OVERRIDING SYSTEM VALUE VALUES (4, 1, 1, 1, 'east-4-outer', 'held', 1795661249, 'somebody');
INSERT INTO public.reservation OVERRIDING SYSTEM VALUE VALUES (5, 1, 1, 1, 'east-5-outer', 'held', 1795661249, 'somebody');
INSERT INTO public.reservation OVERRIDING SYSTEM VALUE VALUES (6, 1, 1, 1, 'east-6-outer', 'held', 1795661249, 'somebody');
INSERT INTO public.reservation OVERRIDING SYSTEM VALUE VALUES (7, 1, 1, 1, 'west-1-outer', 'held', 1795661249, 'somebody');
INSERT INTO public.reservation OVERRIDING SYSTEM VALUE VALUES (8, 1, 1, 1, 'west-2-outer', 'held', 1795661249, 'somebody');
INSERT INTO public.reservation OVERRIDING SYSTEM VALUE VALUES (9, 1, 1, 1, 'west-3-outer', 'held', 1795661249, 'somebody');
INSERT INTO public.reservation OVERRIDING SYSTEM VALUE VALUES (10, 1, 1, 1, 'west-4-outer', 'held', 1795661249, 'somebody');
INSERT INTO public.reservation OVERRIDING SYSTEM VALUE VALUES (11, 1, 1, 1, 'west-5-outer', 'held', 1795661249, 'somebody');
INSERT INTO public.reservation OVERRIDING SYSTEM VALUE VALUES (12, 1, 1, 1, 'west-6-outer', 'held', 1795661249, 'somebody');
SELECT pg_catalog.setval('public.allocation_id_seq', 1, false);
SELECT pg_catalog.setval('public.attachment_id_seq', 1, false);
SELECT pg_catalog.setval('public.batch_id_seq', 1, false);
SELECT pg_catalog.setval('public.failure_id_seq', 1, false);
SELECT pg_catalog.setval('public.history_id_seq', 20, false);
SELECT pg_catalog.setval('public.item_id_seq', 5, false);
SELECT pg_catalog.setval('public.model_id_seq', 5, false);
SELECT pg_catalog.setval('public.orders_id_seq', 2, false);
SELECT pg_catalog.setval('public.price_list_id_seq', 1, false);
SELECT pg_catalog.setval('public.quote_id_seq', 1, false);
SELECT pg_catalog.setval('public.reservation_id_seq', 13, false);
SELECT pg_catalog.setval('public.shop_settings_id_seq', 1, false);
SELECT pg_catalog.setval('public.stock_take_id_seq', 1, false);
SELECT pg_catalog.setval('public.supplier_id_seq', 1, false);
SELECT pg_catalog.setval('public.token_id_seq', 1, false);
ALTER TABLE ONLY public._sqlx_migrations
    ADD CONSTRAINT _sqlx_migrations_pkey PRIMARY KEY (version);
ALTER TABLE ONLY public.allocation_order
    ADD CONSTRAINT allocation_order_pkey PRIMARY KEY (allocation_id, order_id);
ALTER TABLE ONLY public.allocation
    ADD CONSTRAINT allocation_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.attachment
    ADD CONSTRAINT attachment_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.batch
    ADD CONSTRAINT batch_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.batch
    ADD CONSTRAINT batch_supplier_id_reference_key UNIQUE (supplier_id, reference);
ALTER TABLE ONLY public.content
    ADD CONSTRAINT content_pkey PRIMARY KEY (hash);
ALTER TABLE ONLY public.counter
    ADD CONSTRAINT counter_pkey PRIMARY KEY (name);
ALTER TABLE ONLY public.failure
    ADD CONSTRAINT failure_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.history
    ADD CONSTRAINT history_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.item
    ADD CONSTRAINT item_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.margin
    ADD CONSTRAINT margin_pkey PRIMARY KEY (class, valid_from);
ALTER TABLE ONLY public.model
    ADD CONSTRAINT model_label_part_number_maker_die_key UNIQUE (label, part_number, maker, die);
ALTER TABLE ONLY public.model
    ADD CONSTRAINT model_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.orders
    ADD CONSTRAINT orders_number_key UNIQUE (number);
ALTER TABLE ONLY public.orders
    ADD CONSTRAINT orders_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.price_list
    ADD CONSTRAINT price_list_name_valid_from_key UNIQUE (name, valid_from);
ALTER TABLE ONLY public.price_list
    ADD CONSTRAINT price_list_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.price
    ADD CONSTRAINT price_pkey PRIMARY KEY (list_id, label, condition, supplier);
ALTER TABLE ONLY public.quote
    ADD CONSTRAINT quote_number_version_key UNIQUE (number, version);
ALTER TABLE ONLY public.quote
    ADD CONSTRAINT quote_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.reservation
    ADD CONSTRAINT reservation_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.shop_settings
    ADD CONSTRAINT shop_settings_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.stock_take
    ADD CONSTRAINT stock_take_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.supplier
    ADD CONSTRAINT supplier_name_key UNIQUE (name);
ALTER TABLE ONLY public.supplier
    ADD CONSTRAINT supplier_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.token
    ADD CONSTRAINT token_hash_key UNIQUE (hash);
ALTER TABLE ONLY public.token
    ADD CONSTRAINT token_name_key UNIQUE (name);
ALTER TABLE ONLY public.token
    ADD CONSTRAINT token_pkey PRIMARY KEY (id);
CREATE INDEX attachment_subject ON public.attachment USING btree (subject, subject_id, id);
CREATE INDEX failure_item ON public.failure USING btree (item_id);
CREATE INDEX failure_state ON public.failure USING btree (state, id);
CREATE INDEX history_subject ON public.history USING btree (subject, subject_id, id);
CREATE INDEX item_batch_received ON public.item USING btree (batch_id, received);
CREATE INDEX item_bin ON public.item USING btree (bin);
CREATE INDEX item_model_batch ON public.item USING btree (model_id, batch_id, received);
CREATE UNIQUE INDEX item_serial ON public.item USING btree (serial, maker) WHERE (serial IS NOT NULL);
CREATE INDEX item_shelf ON public.item USING btree (model_id, condition, currency, state, quantity, reserved, cost_minor);
CREATE INDEX item_tail ON public.item USING btree (serial_tail) WHERE (serial_tail IS NOT NULL);
CREATE INDEX order_stage_order ON public.order_stage USING btree (order_id);
CREATE INDEX orders_quote ON public.orders USING btree (quote_id);
CREATE INDEX orders_stage ON public.orders USING btree (stage, priority, id);
CREATE INDEX quote_state ON public.quote USING btree (state, id);
CREATE INDEX reservation_item ON public.reservation USING btree (item_id, state);
CREATE INDEX reservation_order ON public.reservation USING btree (order_id, state);
CREATE UNIQUE INDEX reservation_slot ON public.reservation USING btree (order_id, machine, slot) WHERE (state = ANY (ARRAY['held'::text, 'picked'::text, 'built in'::text]));
ALTER TABLE ONLY public.allocation_order
    ADD CONSTRAINT allocation_order_allocation_id_fkey FOREIGN KEY (allocation_id) REFERENCES public.allocation(id);
ALTER TABLE ONLY public.allocation_order
    ADD CONSTRAINT allocation_order_order_id_fkey FOREIGN KEY (order_id) REFERENCES public.orders(id);
ALTER TABLE ONLY public.attachment
    ADD CONSTRAINT attachment_hash_fkey FOREIGN KEY (hash) REFERENCES public.content(hash);
ALTER TABLE ONLY public.batch
    ADD CONSTRAINT batch_supplier_id_fkey FOREIGN KEY (supplier_id) REFERENCES public.supplier(id);
ALTER TABLE ONLY public.failure
    ADD CONSTRAINT failure_item_id_fkey FOREIGN KEY (item_id) REFERENCES public.item(id);
ALTER TABLE ONLY public.failure
    ADD CONSTRAINT failure_order_id_fkey FOREIGN KEY (order_id) REFERENCES public.orders(id);
ALTER TABLE ONLY public.failure
    ADD CONSTRAINT failure_record_hash_fkey FOREIGN KEY (record_hash) REFERENCES public.content(hash);
ALTER TABLE ONLY public.item
    ADD CONSTRAINT item_batch_id_fkey FOREIGN KEY (batch_id) REFERENCES public.batch(id);
ALTER TABLE ONLY public.item
    ADD CONSTRAINT item_model_id_fkey FOREIGN KEY (model_id) REFERENCES public.model(id);
ALTER TABLE ONLY public.order_stage
    ADD CONSTRAINT order_stage_order_id_fkey FOREIGN KEY (order_id) REFERENCES public.orders(id);
ALTER TABLE ONLY public.price
    ADD CONSTRAINT price_list_id_fkey FOREIGN KEY (list_id) REFERENCES public.price_list(id);
ALTER TABLE ONLY public.reservation
    ADD CONSTRAINT reservation_item_id_fkey FOREIGN KEY (item_id) REFERENCES public.item(id);
ALTER TABLE ONLY public.reservation
    ADD CONSTRAINT reservation_order_id_fkey FOREIGN KEY (order_id) REFERENCES public.orders(id);

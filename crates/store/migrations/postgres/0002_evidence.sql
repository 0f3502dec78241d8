-- How many modules an item was when it came in: what failed is counted against that, whatever was shipped since.
alter table item add column received bigint not null default 0;
update item set received = quantity + (
    select count(*) from reservation join orders on orders.id = order_id
    where item_id = item.id and reservation.state = 'built in' and stage = 'shipped');
update item set received = 1 where serial is not null;

-- The supplier's number of a return, and what became of it in words.
alter table failure add column reference text not null default '';
alter table failure add column note text not null default '';
create index item_model_batch on item (model_id, batch_id, received);

-- The order's version at the step: steps of one second keep their order.
alter table order_stage add column place bigint not null default 0;

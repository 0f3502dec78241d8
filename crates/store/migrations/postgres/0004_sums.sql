-- What came in is summed up by an index alone.
drop index item_batch;
create index item_batch_received on item (batch_id, received);

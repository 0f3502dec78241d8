create index orders_quote on orders (quote_id);

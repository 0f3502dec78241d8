//! One way through the shop that calls every address once, with what each must say.

use super::{LABEL, NEED, Shop, problem};
use serde_json::{Value, json};

pub fn all(shop: &Shop) {
    stock(shop);
    order(shop);
    quotes(shop);
    suppliers(shop);
    attachments(shop);
    allocation(shop);
}

fn stock(shop: &Shop) {
    let none = json!({});
    shop.stocked();
    let shelf = shop.call("listModels", "", &none, 200);
    assert_eq!(shelf["models"][0]["free"], 62);
    let items = shop.call("listItems", "", &none, 200);
    assert_eq!((items["items"].as_array().unwrap().len(), &items["more"]), (3, &false.into()));
    let moved = shop.call("moveItem", "1", &json!({ "bin": "b2", "version": 1 }), 200);
    assert_eq!((&moved["bin"], &moved["version"]), (&"B2".into(), &2.into()));
    let right = json!({ "cost": "41 EUR", "serial": "AA09", "why": "misread" });
    let corrected = shop.call("correctItem", "1", &right, 200);
    assert_eq!((&corrected["serial"], &corrected["cost"]["amount"]), (&"AA09".into(), &"41.00".into()));
    shop.call("correctItem", "1", &json!({ "serial": "AA01", "cost": "42 EUR", "why": "it was right" }), 200);
    let held = shop.call("markItem", "1", &json!({ "state": "held back", "why": "a scratch" }), 200);
    assert_eq!(held["state"], "held back");
    let item = shop.call("showItem", "1", &none, 200);
    let last = item["history"].as_array().unwrap().last().unwrap();
    assert_eq!((&last["who"], item["serial"].as_str()), (&"for stock:write".into(), Some("AA01")));
    let page = shop.ask("GET", "/api/v1/stock/items?words=aa0&most=1&skip=1", "stock:read", &[], "");
    let page: Value = serde_json::from_str(&page.body).unwrap();
    assert_eq!((page["items"].as_array().unwrap().len(), &page["more"]), (1, &false.into()));
}

fn order(shop: &Shop) {
    let none = json!({});
    let made = shop.call("newOrder", "", &json!({ "need": NEED, "customer": "Plover", "priority": 2 }), 201);
    let number = made["number"].as_str().unwrap();
    assert_eq!((number, &made["stage"]), ("O-00001", &"asked".into()));
    assert_eq!(shop.call("listOrders", "", &none, 200)["found"], 1);
    assert!(!shop.call("planOrder", "1", &none, 200)["plans"].as_array().unwrap().is_empty());
    assert_eq!(
        shop.call("chooseBuild", number, &json!({ "plan": 1, "version": made["version"] }), 200)["stage"],
        "chosen"
    );
    assert_eq!(shop.call("reserveModules", number, &none, 200)["stage"], "reserved");
    assert_eq!(shop.call("pickModules", number, &none, 200)["order"]["stage"], "picked");
    let modules = shop.call("showOrder", number, &none, 200)["modules"].clone();
    let slot = modules[0]["slot"].as_str().unwrap();
    let other = modules.as_array().unwrap().iter().any(|m| m["serial"] == "AA02");
    let item = if other { "3" } else { "AA02" };
    let swap = json!({ "machine": 1, "slot": slot, "item": item, "faulty": true, "why": "errors in the test" });
    assert_eq!(shop.call("swapModule", number, &swap, 200)["slot"], slot);
    assert_eq!(shop.call("stampStep", number, &json!({ "stage": "built" }), 200)["stage"], "built");
    let second = shop.call("newOrder", "", &json!({ "need": NEED, "customer": "Knot" }), 201);
    let urgent = json!({ "priority": 0, "due": "2099-01-01", "version": second["version"] });
    let second = shop.call("changeOrder", "2", &urgent, 200);
    assert_eq!((&second["priority"], &second["due"]), (&0.into(), &"2099-01-01".into()));
    let whenever = shop.ask("POST", "/api/v1/orders/2/change", "orders:write", &[], r#"{"due":null}"#);
    let second: Value = serde_json::from_str(&whenever.body).unwrap();
    assert_eq!((&second["priority"], &second["due"]), (&0.into(), &Value::Null));
    let told = shop.ask("GET", "/api/v1/orders/2", "orders:read", &[], "");
    assert!(told.body.contains("wanted by 2099-01-01 to no day"), "{}", told.body);
    problem(&shop.ask("POST", "/api/v1/orders/2/change", "orders:write", &[], "{}"), 422);
    let gone = json!({ "why": "the customer went away", "version": second["version"] });
    assert_eq!(shop.call("cancelOrder", "2", &gone, 200)["stage"], "cancelled");
    problem(&shop.ask("POST", "/api/v1/orders/2/change", "orders:write", &[], r#"{"priority":1}"#), 409);
}

fn quotes(shop: &Shop) {
    let none = json!({});
    let body = json!({ "need": NEED, "customer": "Curlew", "from_stock": true, "valid_days": 10 });
    assert_eq!(shop.call("newQuote", "", &body, 201)["number"], "Q-00001");
    shop.call("newQuote", "", &body, 201);
    assert_eq!(shop.call("listQuotes", "", &none, 200)["found"], 2);
    assert_eq!(shop.call("showQuote", "1", &none, 200)["versions"].as_array().unwrap().len(), 1);
    // What is not said stays: from the shelf, and the build.
    let before = shop.call("showQuote", "2", &none, 200);
    let revised = shop.call("reviseQuote", "2", &json!({ "valid_days": 3, "version": 1 }), 201);
    assert_eq!(
        (&revised["version"], &revised["net"], &revised["build"]),
        (&2.into(), &before["net"], &before["build"])
    );
    let now = shop.call("showQuote", "2", &none, 200);
    assert_eq!((&now["from_stock"], &now["changes"]), (&before["from_stock"], &revised["changes"]));
    let unkept = shop.ask("POST", "/api/v1/quotes/2/revise", "quotes:write", &[], r#"{"settings_now":true}"#);
    problem(&unkept, 422);
    problem(&shop.ask("POST", "/api/v1/quotes/2/revise", "quotes:write", &[], r#"{"version":1}"#), 409);
    problem(&shop.ask("POST", "/api/v1/quotes/2/withdraw", "quotes:write", &[], r#"{"version":1}"#), 409);
    assert_eq!(shop.call("withdrawQuote", "2", &json!({ "version": 2 }), 200)["state"], "withdrawn");
    let both = "quotes:write,orders:write";
    problem(&shop.ask("POST", "/api/v1/quotes/1/order", both, &[], r#"{"version":2}"#), 409);
    let order = shop.call("orderQuote", "1", &json!({ "due": "2099-01-01", "version": 1 }), 201);
    assert_eq!(order["stage"], "chosen");
    problem(&shop.ask("POST", "/api/v1/quotes/1/order", both, &[], "{}"), 409);
    let shown = shop.ask("GET", "/api/v1/quotes/1", "quotes:read", &[], "");
    let shown: Value = serde_json::from_str(&shown.body).unwrap();
    assert_eq!((&shown["order"], &shown["versions"][0]["order"]), (&order["number"], &order["number"]));
    let path = format!("/api/v1/orders/{}", order["number"].as_str().unwrap());
    let told: Value = serde_json::from_str(&shop.ask("GET", &path, "orders:read", &[], "").body).unwrap();
    assert_eq!((&told["quote"], &told["quote_version"]), (&"Q-00001".into(), &1.into()));
}

fn suppliers(shop: &Shop) {
    let none = json!({});
    let row = |serial: &str| json!({ "label": LABEL, "serial": serial, "cost": "42.50 EUR", "supplier": "Whimbrel", "batch": "7" });
    let rows = json!({ "items": [row("SS01"), row("SS02")] }).to_string();
    let took: Value =
        serde_json::from_str(&shop.ask("POST", "/api/v1/stock/items", "stock:write", &[], &rows).body).unwrap();
    let item = took["items"][0]["item"].to_string();
    let batch = shop.call("listBatches", "", &none, 200)["batches"][0].clone();
    assert_eq!((&batch["supplier"], &batch["modules"]), (&"Whimbrel".into(), &2.into()));
    let other = shop.ask("GET", "/api/v1/suppliers/batches?supplier=Dunlin", "stock:read", &[], "");
    assert!(other.body.contains("\"batches\": []"), "{}", other.body);
    let until = shop.call("setWarranty", &batch["batch"].to_string(), &json!({ "until": "2020-01-31" }), 200);
    assert_eq!(until["warranty_until"], "2020-01-31");
    let record = json!({ "name": "record.txt", "content": "ZXJyb3Jz" });
    let failed = shop.call("reportFailure", &item, &json!({ "reason": "errors", "record": record }), 201);
    assert_eq!((&failed["state"], &failed["item"]["state"]), (&"found".into(), &"held back".into()));
    problem(
        &shop.ask("POST", &format!("/api/v1/stock/items/{item}/fail"), "stock:write", &[], r#"{"reason":"x"}"#),
        409,
    );
    let number = failed["failure"].clone();
    let list = shop.call("listFailures", "", &none, 200);
    assert!(list["failures"].as_array().unwrap().iter().any(|f| f["failure"] == number), "{list}");
    let back = json!({ "failures": [number], "reference": "R-1" });
    problem(&shop.ask("POST", "/api/v1/suppliers/returns", "stock:write", &[], &back.to_string()), 409);
    let late = json!({ "failures": [number], "reference": "R-1", "late": true });
    assert_eq!(shop.call("sendBack", "", &late, 201)["failures"][0]["state"], "sent back");
    assert_eq!(shop.call("closeFailure", &number.to_string(), &json!({ "to": "credited" }), 200)["state"], "credited");
    let again = format!("/api/v1/suppliers/failures/{number}/close");
    problem(&shop.ask("POST", &again, "stock:write", &[], r#"{"to":"credited"}"#), 409);
    let rates = shop.call("listRates", "", &none, 200);
    let rate = rates["rates"].as_array().unwrap().iter().find(|r| r["name"] == "Whimbrel").unwrap().clone();
    assert_eq!((&rate["received"], &rate["failed"], &rate["made_good"]), (&2.into(), &1.into(), &1.into()));
    // What left the shop is not moved or marked.
    let gone = format!("/api/v1/stock/items/{item}/move");
    problem(&shop.ask("POST", &gone, "stock:write", &[], r#"{"bin":"B1"}"#), 409);
}

fn attachments(shop: &Shop) {
    let none = json!({});
    let photo = json!({ "name": "photo.png", "content": "iVBORw0KGgpyZXN0" });
    for (attach, list, get, part) in [
        ("attachToItem", "listItemAttachments", "getItemAttachment", "2"),
        ("attachToOrder", "listOrderAttachments", "getOrderAttachment", "1"),
    ] {
        let kept = shop.call(attach, part, &photo, 201);
        assert_eq!((&kept["media_type"], &kept["size"]), (&"image/png".into(), &12.into()));
        assert_eq!(shop.call(list, part, &none, 200)["attachments"], json!([kept]));
        assert_eq!(shop.call(get, part, &none, 200)["content"], photo["content"]);
    }
    let at = |rest: &str| format!("/api/v1/stock/items/{rest}");
    let send = |part: &str, body: &str| shop.ask("POST", &at(part), "stock:write", &[], body);
    problem(&send("2/attachments", r#"{"name":"a","content":"not base64!"}"#), 422);
    problem(&send("2/attachments", r#"{"name":"a","content":""}"#), 422);
    problem(&send("2/attachments", r#"{"name":"../a","content":"YQ=="}"#), 422);
    problem(&send("999/attachments", r#"{"name":"a","content":"YQ=="}"#), 404);
    let get = |part: &str| shop.ask("GET", &at(part), "stock:read", &[], "");
    problem(&get("999/attachments"), 404);
    problem(&get("3/attachment"), 404);
    problem(&get("2/attachment?named=other"), 404);
    assert_eq!(send("2/attachments", r#"{"name":"a","content":"YQ=="}"#).status, 201);
    problem(&get("2/attachment"), 422);
    let named: Value = serde_json::from_str(&get("2/attachment?named=a").body).unwrap();
    assert_eq!((&named["content"], &named["name"]), (&"YQ==".into(), &"a".into()));
}

fn allocation(shop: &Shop) {
    let none = json!({});
    problem(&shop.ask("GET", "/api/v1/allocations/newest", "allocate:read", &[], ""), 404);
    let made = shop.call("propose", "", &none, 201);
    let number = made["number"].to_string();
    assert_eq!(shop.call("showNewestAllocation", "", &none, 200), shop.call("showAllocation", &number, &none, 200));
    let order = &made["served"][0]["order"];
    assert_eq!(shop.call("acceptAllocation", &number, &json!({ "orders": [order] }), 200)["state"], "accepted");
}

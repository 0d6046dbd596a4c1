// What a typed client that was made from the description does with the running service; the tests say with which.
//
//     node use.js http://127.0.0.1:8000 TOKEN
import createClient from "openapi-fetch";
import type { components, paths } from "./description";

const [address, token] = process.argv.slice(2) as [string, string];
const client = createClient<paths>({
  baseUrl: address,
  headers: { Authorization: `Bearer ${token}` },
  querySerializer: { object: { style: "form", explode: true } },
});

const book = "sample-inch";
const options = { mattress: "queen", clear_height: "8in" };
const design = "slatted-bed";

const health = await client.GET("/healthz");
const byAddress = await client.GET("/v1/designs/{design}/quote.json", {
  params: { path: { design }, query: { price_book: book, options, yard_cuts: "no" } },
});
const asked: components["schemas"]["QuoteRequest"] = {
  price_book: book,
  lines: [
    { design, options },
    { label: "shelf", parts: [{ section: "1x8", length: "30 in", quantity: 3 }] },
  ],
};
const byBody = await client.POST("/v1/quotes", { params: { query: { keep: "no" } }, body: asked });
const compared = await client.POST("/v1/comparisons", {
  body: { designs: [design], price_books: [book], options: { mattress: ["twin", "queen"] }, sort: "-total" },
});
const workbook = await client.GET("/v1/designs/{design}/quote.xlsx", {
  params: { path: { design }, query: { price_book: book, options: { mattress: "queen" } } },
  parseAs: "arrayBuffer",
});
const drawing = await client.GET("/v1/designs/{design}/drawing.svg", {
  params: { path: { design: "bench" }, query: { price_book: book } },
  parseAs: "text",
});
const wrong = await client.GET("/v1/designs/{design}/quote.json", {
  params: { path: { design }, query: { price_book: book, kerf: "1 km" } },
});

if (!health.data || !byAddress.data || !byBody.data || !compared.data || !workbook.data || !drawing.data) {
  throw new Error("a good request was refused");
}
// Both addresses send other forms too, and either comes as a job where that is preferred.
if (byBody.response.status !== 200 || compared.response.status !== 200) throw new Error("JSON was asked for at once");
const quote = byBody.data as components["schemas"]["Quote"];
const comparison = compared.data as components["schemas"]["Comparison"];
if (!wrong.error) throw new Error("a wrong request was answered");
const total: string = byAddress.data.totals.total;
const statuses: components["schemas"]["CheckStatus"][] = byAddress.data.checks.map((check) => check.status);
if (statuses.length === 0) throw new Error("nothing was checked");
console.log(
  JSON.stringify({
    status: health.data.status,
    by_address: total,
    by_body: quote.totals.total,
    rows: comparison.rows.map((row) => row.total),
    workbook: new TextDecoder().decode(new Uint8Array(workbook.data).slice(0, 2)),
    drawing: drawing.data.slice(0, 4),
    wrong: [wrong.error.status, wrong.error.errors[0]?.parameter],
  }),
);

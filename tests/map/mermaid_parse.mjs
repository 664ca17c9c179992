// Reads flowcharts with Mermaid's own parser; prints what it found in each as one line of JSON.
import { readFileSync } from "node:fs";
import { JSDOM } from "jsdom";

const page = new JSDOM("<!doctype html><body></body>");
globalThis.window = page.window;
globalThis.document = page.window.document;
const { default: mermaid } = await import("mermaid");
for (const file of process.argv.slice(2)) {
  const text = readFileSync(file, "utf-8");
  await mermaid.parse(text);
  const diagram = await mermaid.mermaidAPI.getDiagramFromText(text);
  const nodes = Object.fromEntries([...diagram.db.getVertices().values()].map((node) => [node.id, node.text]));
  const edges = diagram.db.getEdges().map((edge) => [edge.start, edge.end, edge.text]);
  console.log(JSON.stringify({ type: diagram.type, nodes, edges }));
}

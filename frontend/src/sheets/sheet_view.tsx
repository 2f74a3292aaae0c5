/** One sheet as a page of headed blocks, to be read on the screen and printed. */
import type { Block, SheetPage } from "./sheet_page";

export function SheetView({ page }: { page: SheetPage }) {
  return (
    <article class="sheet" aria-label={`${page.title}, ${page.build}`}>
      <header class="sheet-head">
        <div>
          <h2>{page.title}</h2>
          <p class="sheet-build">{page.build}</p>
        </div>
        {page.verdict && <p class="verdict">{page.verdict}</p>}
      </header>
      {page.lines.map((line) => (
        <p key={line} class="sheet-line">
          {line}
        </p>
      ))}
      <div class={page.columns > 1 ? "blocks two" : "blocks"}>
        {page.blocks.map((block, index) => (
          <section key={index} class={`block ${block.kind}`}>
            {block.heading && <h3>{block.heading}</h3>}
            <BlockBody block={block} name={block.heading || page.title} />
          </section>
        ))}
      </div>
      {page.cautions.length > 0 && (
        <footer class="sheet-cautions">
          {page.cautions.map((caution) => (
            <p key={caution}>{caution}</p>
          ))}
        </footer>
      )}
    </article>
  );
}

function BlockBody({ block, name }: { block: Block; name: string }) {
  if (block.kind === "table") return <TableBlock block={block} name={name} />;
  if (block.kind === "pairs")
    return (
      <dl class={block.boxes ? "pairs boxes" : "pairs"}>
        {block.rows.map(([label, value], index) => (
          <div key={index}>
            <dt>
              {block.boxes && <span class="box" aria-hidden="true" />}
              {label}
            </dt>
            <dd>{value}</dd>
          </div>
        ))}
      </dl>
    );
  if (block.kind === "checks")
    return (
      <ul class="checks">
        {block.rows.map((check, index) => (
          <li key={index}>
            <strong class={check.loud ? "mark loud" : "mark"}>{check.mark}</strong>
            <span>
              {check.question} {check.figure && <span class="figure">{check.figure}</span>}
              {check.mend && <span class="mend"> {check.mend}</span>}
            </span>
          </li>
        ))}
      </ul>
    );
  const lines = block.lines.map((line, index) => <li key={index}>{line}</li>);
  return block.numbered ? <ol class="steps">{lines}</ol> : <ul class="prose-lines">{lines}</ul>;
}

function TableBlock({ block, name }: { block: Extract<Block, { kind: "table" }>; name: string }) {
  return (
    <>
      <div class="table-scroll" tabIndex={0} role="region" aria-label={`Table: ${name}`}>
        <table aria-label={name}>
          <thead>
            <tr>
              {block.columns.map((column, index) => (
                <th key={index} scope="col" class={column.left ? "" : "right"}>
                  {column.heading}
                  {column.unit && <span class="unit">{column.unit}</span>}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {block.rows.map((row, at) => (
              <tr key={at}>
                {row.map((cell, index) => (
                  <td key={index} class={block.columns[index]?.left ? "" : "number"}>
                    {cell}
                  </td>
                ))}
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      {block.note && <p class="note">{block.note}</p>}
    </>
  );
}

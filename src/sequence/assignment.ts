/**
 * The assignment problem: every row takes one column of its own, at least total cost. Gives the prices that prove it:
 * rows[i] + columns[j] is never above table[i][j], and the sum of all prices is the least total.
 *
 * The method is that of shortest augmenting paths (Jonker and Volgenant, Computing 38, 1987; cited from memory).
 * `Infinity` rules a pair out. @throws Error where that leaves no assignment
 */
export function assignment(table: readonly (readonly number[])[]): { rows: Float64Array; columns: Float64Array } {
  const count = table.length;
  const rows = new Float64Array(count);
  const columns = new Float64Array(count);
  const rowOf = new Int32Array(count).fill(-1);
  for (let row = 0; row < count; row++) augment(table, row, rows, columns, rowOf);
  return { rows, columns };
}

/** Gives `row` a column along the cheapest chain of rows that move on to another column, and corrects the prices on it. */
function augment(
  table: readonly (readonly number[])[],
  row: number,
  rows: Float64Array,
  columns: Float64Array,
  rowOf: Int32Array,
): void {
  const count = table.length;
  const distance = new Float64Array(count).fill(Infinity);
  const via = new Int32Array(count).fill(-1);
  const seen: number[] = [];
  const isSeen = new Uint8Array(count);
  let at = row;
  let reached = 0;
  let last = -1;
  for (;;) {
    let next = -1;
    for (let column = 0; column < count; column++) {
      if (isSeen[column]) continue;
      const length = reached + table[at]![column]! - rows[at]! - columns[column]!;
      if (length < distance[column]!) {
        distance[column] = length;
        via[column] = last;
      }
      if (next < 0 || distance[column]! < distance[next]!) next = column;
    }
    if (next < 0 || distance[next] === Infinity) throw new Error(`row ${row} can take no column`);
    reached = distance[next]!;
    last = next;
    if (rowOf[next]! < 0) break;
    isSeen[next] = 1;
    seen.push(next);
    at = rowOf[next]!;
  }
  rows[row]! += reached;
  for (const column of seen) {
    rows[rowOf[column]!]! += reached - distance[column]!;
    columns[column]! -= reached - distance[column]!;
  }
  for (let column = last; column >= 0; column = via[column]!)
    rowOf[column] = via[column]! < 0 ? row : rowOf[via[column]!]!;
}

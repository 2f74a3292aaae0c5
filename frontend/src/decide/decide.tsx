export function Decide() {
  return <h1>Decide</h1>;
}

// One bench of the solver. The page hands over the compiled module, then asks; answers come in the order of the
// questions. Behind it, in the same worker, stands what emscripten made.
"use strict";
let solver, asking;
const told = (text) => {
  const size = solver.lengthBytesUTF8(text) + 1, at = solver._malloc(size);
  solver.stringToUTF8(text, at, size);
  return at;
};
const ask = (what, asked) => {
  const [a, b] = [told(what), told(asked)];
  try {
    return solver.UTF8ToString(solver._tq_ask(a, b));
  } finally {
    solver._free(a);
    solver._free(b);
  }
};
onmessage = async ({ data }) => {
  if (data.module) {
    const instantiateWasm = (imports, done) => {
      WebAssembly.instantiate(data.module, imports).then(done);
      return {};
    };
    const meanwhile = (known) => postMessage({ id: asking, known });
    solver = await thinquench_solver({ instantiateWasm, meanwhile, print: () => {}, printErr: () => {} });
    postMessage({ ready: true });
    return;
  }
  const { id, what, asked } = data;
  asking = id;
  try {
    postMessage({ id, answer: ask(what, asked) });
  } catch (error) {
    // The module's own state is not to be trusted after this.
    postMessage({ id, broken: String(error) });
  }
};

// eslint's core rules, written out; `globals` are the only names that no file declares.

const RULES = [
  "array-callback-return", "constructor-super", "default-case-last", "dot-notation", "eqeqeq", "for-direction",
  "getter-return", "no-array-constructor", "no-async-promise-executor", "no-caller", "no-case-declarations", "no-class-assign",
  "no-compare-neg-zero", "no-cond-assign", "no-const-assign", "no-constant-binary-expression", "no-constant-condition",
  "no-constructor-return", "no-control-regex", "no-debugger", "no-delete-var", "no-dupe-args", "no-dupe-class-members",
  "no-dupe-else-if", "no-dupe-keys", "no-duplicate-case", "no-duplicate-imports", "no-else-return", "no-empty",
  "no-empty-character-class", "no-empty-pattern", "no-empty-static-block", "no-eval", "no-ex-assign", "no-extend-native",
  "no-extra-bind", "no-extra-boolean-cast", "no-fallthrough", "no-func-assign", "no-global-assign", "no-implied-eval",
  "no-import-assign", "no-invalid-regexp", "no-irregular-whitespace", "no-iterator", "no-label-var", "no-lone-blocks",
  "no-lonely-if", "no-loop-func", "no-loss-of-precision", "no-misleading-character-class", "no-new", "no-new-func",
  "no-new-native-nonconstructor", "no-new-wrappers", "no-nonoctal-decimal-escape", "no-obj-calls", "no-octal", "no-param-reassign",
  "no-promise-executor-return", "no-proto", "no-prototype-builtins", "no-redeclare", "no-regex-spaces", "no-return-assign",
  "no-script-url", "no-self-assign", "no-self-compare", "no-sequences", "no-setter-return", "no-shadow",
  "no-shadow-restricted-names", "no-sparse-arrays", "no-template-curly-in-string", "no-this-before-super", "no-throw-literal",
  "no-undef", "no-unexpected-multiline", "no-unmodified-loop-condition", "no-unneeded-ternary", "no-unreachable",
  "no-unreachable-loop", "no-unsafe-finally", "no-unsafe-negation", "no-unsafe-optional-chaining", "no-unused-expressions",
  "no-unused-labels", "no-unused-private-class-members", "no-unused-vars", "no-useless-backreference",
  "no-useless-call", "no-useless-catch", "no-useless-computed-key", "no-useless-concat", "no-useless-constructor",
  "no-useless-escape", "no-useless-rename", "no-useless-return", "no-var", "no-with", "object-shorthand",
  "prefer-const", "prefer-object-spread", "prefer-rest-params", "prefer-spread", "prefer-template", "require-yield",
  "strict", "symbol-description", "use-isnan", "valid-typeof", "yoda",
];

const CHOSEN = {
  curly: ["error", "multi-line"],
  "no-use-before-define": ["error", { functions: false, variables: false }], // a call comes later than all of them
  "one-var": ["error", "never"],
  complexity: ["error", 15],
  "max-params": ["error", 8],
};

const BROWSER = [
  "AudioContext", "Blob", "DecompressionStream", "Image", "ImageData", "MutationObserver", "OffscreenCanvas", "queueMicrotask", "ResizeObserver", "Response",
  "URL", "atob", "cancelAnimationFrame", "clearInterval", "clearTimeout", "createImageBitmap", "crypto", "document", "matchMedia", "performance",
  "navigator", "requestAnimationFrame", "sessionStorage", "setInterval", "setTimeout", "structuredClone", "window",
];
const named = (names) => Object.fromEntries(names.map((name) => [name, "readonly"]));

export default [
  { linterOptions: { reportUnusedDisableDirectives: "error", noInlineConfig: true } },
  { files: ["**/*.js"], rules: { ...Object.fromEntries(RULES.map((rule) => [rule, "error"])), ...CHOSEN } },
  { files: ["sheetkit/**/*.js"], languageOptions: { globals: named([...BROWSER, "AGAIN", "TOLD"]) } },
  { files: ["tests/**/*.js"], languageOptions: { globals: named(["AGAIN", "TOLD", "globalThis", "process", "structuredClone"]) } },
];

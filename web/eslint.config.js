import js from '@eslint/js';
import svelte from 'eslint-plugin-svelte';
import globals from 'globals';
import ts from 'typescript-eslint';

// Imports run one way: base knows nobody, app knows all.
const layers = ['base', 'engine_client', 'actions', 'scene', 'charts', 'views', 'app'];
const below = (layer) => layers.slice(layers.indexOf(layer) + 1);

export default ts.config(
  { ignores: ['dist', 'node_modules'] },
  js.configs.recommended,
  ...ts.configs.strict,
  ...svelte.configs.recommended,
  {
    languageOptions: { globals: { ...globals.browser, ...globals.node } },
    rules: {
      'no-undef': 'off', // the compiler does that
      'max-lines': ['error', { max: 250, skipBlankLines: true, skipComments: true }],
      'max-lines-per-function': ['error', { max: 60, skipBlankLines: true, skipComments: true }],
    },
  },
  {
    files: ['**/*.svelte', '**/*.svelte.ts'],
    languageOptions: { parserOptions: { parser: ts.parser } },
  },
  ...layers.map((layer) => ({
    files: [`src/${layer}/**`],
    rules: {
      'no-restricted-imports': [
        'error',
        { patterns: below(layer).map((l) => ({ group: [`../${l}/*`] })) },
      ],
    },
  })),
);

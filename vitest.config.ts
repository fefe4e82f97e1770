import { defaultClientConditions, defaultServerConditions } from 'vite';
import { defineConfig } from 'vitest/config';

// Packages are read from their sources, so that tests need no build.
const source = 'kerfline-source';

// biome-ignore lint/style/noDefaultExport: the test runner reads its configuration from the default export
export default defineConfig({
  resolve: { conditions: [source, ...defaultClientConditions] },
  ssr: { resolve: { conditions: [source, ...defaultServerConditions] } },
  test: {
    include: ['packages/*/src/**/*.test.ts', 'apps/*/src/**/*.test.ts', 'tests/**/*.test.ts'],
    setupFiles: ['tests/property-seed.setup.ts'],
    testTimeout: 60_000,
    hookTimeout: 120_000,
  },
});

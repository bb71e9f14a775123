import { defineConfig } from 'vitest/config';

const shared = { testTimeout: 60_000, hookTimeout: 120_000, expect: { poll: { timeout: 10_000 } } };

export default defineConfig({
  test: {
    // Two cores: the browser needs one of them.
    maxWorkers: 2,
    projects: [
      { test: { ...shared, name: 'lib', include: ['tests/lib/**/*.test.ts', 'tests/outside/**/*.test.ts'] } },
      { test: { ...shared, name: 'site', include: ['tests/site/**/*.test.ts'], globalSetup: ['tests/site/support/global-setup.ts'] } },
    ],
  },
});

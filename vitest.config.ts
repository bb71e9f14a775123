import { defineConfig } from 'vitest/config';
import { BaseSequencer, type TestSpecification } from 'vitest/node';

// The limits are for what never ends; a machine busy with other things may take long over the rest.
const shared = { testTimeout: 120_000, hookTimeout: 120_000, expect: { poll: { timeout: 10_000 } } };

// The longest first, so that both workers have something to do until the end. All others follow in vitest's own order.
const longest = ['site/plates', 'site/photographs', 'site/pages', 'outside/align.', 'site/accessibility', 'site/your-own-scan', 'site/plate-uses', 'site/'];

class LongestFirst extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    const place = ({ moduleId }: TestSpecification) => {
      const found = longest.findIndex((name) => moduleId.includes(`/tests/${name}`));
      return found < 0 ? longest.length : found;
    };
    return (await super.sort(files)).sort((a, b) => place(a) - place(b));
  }
}

export default defineConfig({
  test: {
    // For two cores: a third makes each of the others slower by as much.
    maxWorkers: 2,
    sequence: { sequencer: LongestFirst },
    projects: [
      // Functions without a memory of their own: the files share their workers, which have the library read and compiled once.
      { test: { ...shared, name: 'lib', isolate: false, include: ['tests/lib/**/*.test.ts', 'tests/outside/**/*.test.ts'] } },
      { test: { ...shared, name: 'site', include: ['tests/site/**/*.test.ts'], globalSetup: ['tests/site/support/global-setup.ts'] } },
    ],
  },
});

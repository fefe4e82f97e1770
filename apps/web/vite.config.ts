import react from '@vitejs/plugin-react';
import { defaultClientConditions, defineConfig } from 'vite';

// Packages are read from their sources, so that one build makes the page.
// biome-ignore lint/style/noDefaultExport: the bundler reads its configuration from the default export
export default defineConfig({
  plugins: [react()],
  resolve: { conditions: ['kerfline-source', ...defaultClientConditions] },
  worker: { format: 'es' },
  build: {
    outDir: 'dist/site',
    emptyOutDir: true,
    sourcemap: false,
    target: 'es2022',
    reportCompressedSize: false,
    rollupOptions: {
      // The compiled decoders ask for files only where there is no page; that they cannot here is known.
      onLog(level, log, handler) {
        if (!/codec-.*externalized|externalized.*codec-/s.test(log.message)) handler(level, log);
      },
    },
    // The solids come in a file of their own, fetched only when they are asked for.
    chunkSizeWarningLimit: 700,
  },
  server: { proxy: { '/api': 'http://localhost:4178' } },
});

import { defineConfig } from 'vite'

// Built files are committed and embedded in the program. A name changes with its bytes, so that a
// browser may keep what it has.
export default defineConfig({
  base: '/',
  esbuild: { jsx: 'automatic', jsxImportSource: 'preact', legalComments: 'none' },
  build: {
    target: 'es2022',
    modulePreload: { polyfill: false },
    assetsInlineLimit: 0,
    cssCodeSplit: false,
    reportCompressedSize: true,
    chunkSizeWarningLimit: 900,
    rollupOptions: {
      output: {
        entryFileNames: 'assets/[name]-[hash].js',
        chunkFileNames: 'assets/[name]-[hash].js',
        assetFileNames: 'assets/[name]-[hash][extname]',
        manualChunks(id) {
          if (/node_modules\/three\//.test(id)) return 'three'
          if (/node_modules\/(@codemirror|@lezer|style-mod|w3c-keyname|crelt)/.test(id)) return 'editor'
          if (/node_modules\/preact\//.test(id)) return 'main'
          return undefined
        },
      },
    },
  },
})

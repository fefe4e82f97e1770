import '@fontsource/stix-two-text/latin-400-italic.css';
import './look.css';
import { StrictMode } from 'react';
import { createRoot } from 'react-dom/client';
import { App } from './app.tsx';

const root = document.getElementById('page');
if (!root) throw new Error('the page has no place for the app');
createRoot(root).render(
  <StrictMode>
    <App />
  </StrictMode>,
);

// npm run build: packages, apps and pages.
import { checkNode, ensureBuilt, ensureInstalled } from './machine.mjs';

checkNode();
ensureInstalled();
ensureBuilt();

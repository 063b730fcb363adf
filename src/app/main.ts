import '@fontsource-variable/atkinson-hyperlegible-mono/wght.css';
import '@fontsource-variable/atkinson-hyperlegible-next/wght.css';
import '../../components/sheet/tokens.css';
import './last-bolt.ts';
import { recallTheme } from './theme.ts';

recallTheme();

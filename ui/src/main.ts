import { mount } from 'svelte';
import './app/tokens.css';
import App from './app/App.svelte';

mount(App, { target: document.getElementById('app')! });

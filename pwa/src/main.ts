import { h, render } from 'preact'
import { startSession } from './store/session'
import { watchForSignal } from './store/syncing'
import { keepApp } from './store/update'
import { App } from './ui/app'
import './ui/app.css'

const root = document.getElementById('app')
if (!root) throw new Error('the page has a place for the app')
render(h(App, {}), root)

watchForSignal()
void startSession()
if (import.meta.env.PROD) void keepApp()

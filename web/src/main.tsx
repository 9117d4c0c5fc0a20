import { render } from 'preact'
import './look.css'
import './picture.css'
import './pages.css'
import { App } from './app'
import { watchShop } from './api'

watchShop()
const root = document.getElementById('app')!
root.textContent = ''
render(<App />, root)

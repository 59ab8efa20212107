import { signal } from '@preact/signals'

/** The browser's offer to put the app on the home screen, in the browsers that make one. */
interface InstallOffer extends Event {
  prompt: () => Promise<unknown>
}

export const installOffer = signal<InstallOffer | null>(null)

export function watchForInstallOffer(): void {
  addEventListener('beforeinstallprompt', (event) => {
    event.preventDefault()
    installOffer.value = event as InstallOffer
  })
  addEventListener('appinstalled', () => {
    installOffer.value = null
  })
}

export async function install(): Promise<void> {
  await installOffer.value?.prompt()
  installOffer.value = null
}

export function isInstalled(): boolean {
  return matchMedia('(display-mode: standalone)').matches
}

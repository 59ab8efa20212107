export { PictureView } from './Pictures'

import { adoptStyles } from '../../adoptStyles'
import styles from './readings.css?inline'

adoptStyles(styles)

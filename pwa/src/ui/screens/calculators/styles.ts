import { adoptStyles } from '../../adoptStyles'
import styles from './calculators.css?inline'

adoptStyles(styles)

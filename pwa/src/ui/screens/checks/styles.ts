import { adoptStyles } from '../../adoptStyles'
import styles from './checks.css?inline'

adoptStyles(styles)

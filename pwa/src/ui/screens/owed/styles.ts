import { adoptStyles } from '../../adoptStyles'
import styles from './owed.css?inline'

adoptStyles(styles)

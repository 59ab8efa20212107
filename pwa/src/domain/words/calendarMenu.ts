/** The menu's words for the shop's calendar. */
export const calendarMenu = {
  title: 'Open days and forecasts',
  hint: 'Holidays, days closed, season, how sure a promise is',
}

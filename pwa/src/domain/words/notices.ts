export * from './followUps'
export * from './noticeLog'

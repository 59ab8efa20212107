import { type Mark, type Point, shapesOf, strokeWidth } from '../../../domain/pictures/marks'

type Pen = CanvasRenderingContext2D | OffscreenCanvasRenderingContext2D

/** Paints marks white with a black edge, which shows on any picture. */
export function paintMarks(pen: Pen, marks: readonly Mark[], width: number, height: number): void {
  const stroke = strokeWidth(width, height)
  pen.lineCap = pen.lineJoin = 'round'
  for (const mark of marks) {
    for (const [color, wide] of [
      ['#000', stroke * 2],
      ['#fff', stroke],
    ] as const) {
      pen.strokeStyle = color
      pen.lineWidth = wide
      for (const shape of shapesOf(mark, width, height)) {
        pen.beginPath()
        if (shape.kind === 'circle') pen.arc(...shape.middle, shape.radius, 0, 2 * Math.PI)
        else
          for (const [at, point] of shape.points.entries()) at ? pen.lineTo(...point) : pen.moveTo(...point)
        pen.stroke()
      }
    }
  }
}

/** Paints a cross at a place: the first of two, or where the keyboard is. */
export function paintCross(pen: Pen, [x, y]: Point, width: number, height: number): void {
  const stroke = strokeWidth(width, height)
  const arm = stroke * 3
  for (const [color, wide] of [
    ['#000', stroke * 2],
    ['#fff', stroke],
  ] as const) {
    pen.strokeStyle = color
    pen.lineWidth = wide
    pen.beginPath()
    pen.moveTo(x * width - arm, y * height)
    pen.lineTo(x * width + arm, y * height)
    pen.moveTo(x * width, y * height - arm)
    pen.lineTo(x * width, y * height + arm)
    pen.stroke()
  }
}

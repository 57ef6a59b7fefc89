//! Masks: the cells of a picture that look at ground beyond the boundary, widened by a guard band.
//!
//! A mask covers places of the picture, not of the world: whoever stands before them is covered too, a caller's face
//! included ([`Mask::covers`] tells). It is void once the camera has moved by more than its guard band.

use super::{Camera, Caster, Land, within};

/// A mask as a grid of cells over the picture.
#[derive(Clone, Debug, PartialEq)]
pub struct Mask {
    columns: usize,
    rows: usize,
    size_px: [f64; 2],
    cells: Vec<bool>,
}

impl Mask {
    /// The mask of a camera over a land: every cell of which a corner or the middle looks beyond, and every cell within
    /// `guard_px` of it.
    ///
    /// - `cells`: across and down, 1 to 512 each; finer cells follow the boundary closer.
    pub fn new(camera: &Camera, land: &Land<'_>, guard_px: f64, cells: [usize; 2]) -> Self {
        let [columns, rows] = cells.map(|count| count.clamp(1, 512));
        let (size_px, caster) = ([camera.imager.width_px, camera.imager.height_px], Caster::new(camera));
        let beyond = |column: f64, row: f64| {
            let pixel = [column / columns as f64 * size_px[0], row / rows as f64 * size_px[1]];
            caster.ground(pixel).is_some_and(|point| within(camera, land, point) && land.beyond(point))
        };
        let corners: Vec<bool> = (0..=rows)
            .flat_map(|row| (0..=columns).map(move |column| (column as f64, row as f64)))
            .map(|(column, row)| beyond(column, row))
            .collect();
        let corner = |column: usize, row: usize| corners[row * (columns + 1) + column];
        let looks: Vec<bool> = (0..rows)
            .flat_map(|row| (0..columns).map(move |column| (column, row)))
            .map(|(column, row)| {
                corner(column, row)
                    || corner(column + 1, row)
                    || corner(column, row + 1)
                    || corner(column + 1, row + 1)
                    || beyond(column as f64 + 0.5, row as f64 + 0.5)
            })
            .collect();
        let mut mask = Self { columns, rows, size_px, cells: looks };
        mask.widen(guard_px);
        mask
    }

    /// Adds every cell within so many pixels, in each direction.
    fn widen(&mut self, guard_px: f64) {
        let reach = |count: usize, size_px: f64| {
            let cells = (guard_px / (size_px / count as f64)).ceil();
            if cells > 0.0 { (cells as usize).min(count) } else { 0 }
        };
        let (across, down) = (reach(self.columns, self.size_px[0]), reach(self.rows, self.size_px[1]));
        let (columns, rows) = (self.columns, self.rows);
        // A square grows along its rows first, then along its columns.
        let grown: Vec<bool> = (0..columns * rows)
            .map(|at| {
                let (row, column) = (at / columns, at % columns);
                let (from, to) = (column.saturating_sub(across), (column + across).min(columns - 1));
                self.cells[row * columns + from..=row * columns + to].contains(&true)
            })
            .collect();
        self.cells = (0..columns * rows)
            .map(|at| {
                let (row, column) = (at / columns, at % columns);
                let (from, to) = (row.saturating_sub(down), (row + down).min(rows - 1));
                (from..=to).any(|row| grown[row * columns + column])
            })
            .collect();
    }

    /// Share of the picture that it covers.
    pub fn share(&self) -> f64 {
        self.cells.iter().filter(|covered| **covered).count() as f64 / self.cells.len() as f64
    }

    /// Whether it covers a pixel, counted from the upper left corner; not outside the picture.
    pub fn covers(&self, pixel: [f64; 2]) -> bool {
        let cell = |pixel: f64, size_px: f64, count: usize| {
            let at = (pixel / size_px * count as f64).floor();
            (at >= 0.0 && at < count as f64).then_some(at as usize)
        };
        match (cell(pixel[0], self.size_px[0], self.columns), cell(pixel[1], self.size_px[1], self.rows)) {
            (Some(column), Some(row)) => self.cells[row * self.columns + column],
            _ => false,
        }
    }

    /// The mask as rectangles `[left, top, right, bottom]`, px, which do not overlap: runs of cells in a row, joined with
    /// an equal run in the row below.
    pub fn rectangles(&self) -> Vec<[f64; 4]> {
        let (mut open, mut done): (Vec<[usize; 4]>, Vec<[usize; 4]>) = (Vec::new(), Vec::new());
        for row in 0..=self.rows {
            let mut next = Vec::new();
            let mut column = 0;
            while row < self.rows && column < self.columns {
                let run = self.cells[row * self.columns + column..(row + 1) * self.columns]
                    .iter()
                    .take_while(|covered| **covered)
                    .count();
                if run > 0 {
                    let above = open.iter().position(|had| had[0] == column && had[2] == column + run);
                    let top = above.map_or(row, |at| open.swap_remove(at)[1]);
                    next.push([column, top, column + run, row + 1]);
                }
                column += run.max(1);
            }
            done.append(&mut open);
            open = next;
        }
        let scale = [self.size_px[0] / self.columns as f64, self.size_px[1] / self.rows as f64];
        done.sort_by_key(|cells| (cells[1], cells[0]));
        done.into_iter().map(|cells| std::array::from_fn(|i| cells[i] as f64 * scale[i % 2])).collect()
    }
}

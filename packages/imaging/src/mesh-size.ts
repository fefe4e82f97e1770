/**
 * Most triangles read from one file.
 *
 * A detailed scan surface has some hundred thousand; ten million already are a file of 500 MB in binary STL and some
 * 3 GB of memory while it is read.
 */
export const mostTriangles = 10_000_000;

/** Most vertices read from one file with at most `triangles` triangles: as many as triangles that share none. */
export const mostVertices = (triangles: number): number => 3 * triangles;

/** A drawn tool screen: bars and no words, so that it stands for any photo of an invented job. */
export const demoPicture = Buffer.from(
  [
    'iVBORw0KGgoAAAANSUhEUgAAAUAAAADIAgMAAADkatA4AAAADFBMVEX08egoLDR4fIIeblDPaKRCAAAAo0lEQVR42u3bsQ3CMBCG0TTsR5N9PA',
    'olYoqMlAEiQWsrJo0d6aR7X3+vQb+VhmWRJGlm65SSg1N+CCAwAfgYm90TCAQCgUBgYNDHEhAIBN4Gfi4r7fW36QCmBU0PCAz3Yp+umynvwLyg',
    '6QGBsV7sd+e6nvIGTAyaHhAY6cV+da+rKQNTg6YHBMZ5scuf686nGTAlaHpAIBAIDAn6b8UwKEnSeD8qMiZTCV1VPAAAAABJRU5ErkJggg==',
  ].join(''),
  'base64',
);

declare module 'vin-validator' {
  const validator: { validate(vin: string): boolean };
  export default validator;
}
